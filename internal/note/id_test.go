package note_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"kg/internal/note"
)

func TestIDsAreKebabCaseAndFitAFileName(t *testing.T) {
	t.Parallel()
	for _, id := range []note.ID{"a", "pump", "pump-2", "3-way-valve", note.ID(strings.Repeat("a", 60))} {
		assert.True(t, id.Valid(), id)
	}
	for _, id := range []note.ID{
		"", "-", "-pump", "pump-", "pump--stuck", "Pump", "pump stuck", "pump_stuck", "pump.md", "../pump", "a/b",
		"wärme", "pump\n", note.ID(strings.Repeat("a", 61)),
	} {
		assert.False(t, id.Valid(), "%q", id)
	}
}

func TestSlugsOfNames(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]note.ID{
		"Expansion vessel without charge": "expansion-vessel-without-charge",
		"3-way valve (diverter)":          "3-way-valve-diverter",
		"  Vanne à 3 voies  ":             "vanne-a-3-voies",
		"Wärmepumpe":                      "warmepumpe",
		"Householder's switch":            "householders-switch",
		"Householder’s switch":            "householders-switch",
		"CO₂":                             "co",
		"水泵":                              "",
		"...":                             "",
		"":                                "",
		// Cut between words, at 60 characters.
		strings.Repeat("a", 30) + " " + strings.Repeat("b", 29) + " c": note.ID(strings.Repeat("a", 30) + "-" + strings.Repeat("b", 29)),
		strings.Repeat("a", 30) + " " + strings.Repeat("b", 30):        note.ID(strings.Repeat("a", 30)),
		strings.Repeat("a", 61) + " b":                                 note.ID(strings.Repeat("a", 60)),
	} {
		assert.Equal(t, want, note.Slug(name), name)
	}
}

func TestSlugIsEmptyOrAValidIDAndItsOwnSlug(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		slug := note.Slug(rapid.String().Draw(t, "name"))
		assert.True(t, slug == "" || slug.Valid(), "%q", slug)
		assert.Equal(t, slug, note.Slug(string(slug)))
	})
}

func TestSlugOfAnythingWithALetterOrDigitIsNotEmpty(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.String().Draw(t, "before") +
			rapid.StringMatching(`[A-Za-z0-9]{1,80}`).Draw(t, "word") + rapid.String().Draw(t, "after")
		assert.True(t, note.Slug(name).Valid(), "%q", note.Slug(name))
	})
}

func TestEveryValidIDIsItsOwnSlug(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		id := note.ID(rapid.StringMatching(`[a-z0-9]{1,9}(-[a-z0-9]{1,9}){0,5}`).Draw(t, "id"))
		assert.True(t, id.Valid())
		assert.Equal(t, id, note.Slug(string(id)))
	})
}
