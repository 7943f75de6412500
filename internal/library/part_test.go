package library

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/generation"
	"kg/internal/note"
	"kg/internal/parts"
)

// Every number of the demo leads to something, and what it leads to knows it as an
// older number.
func TestEveryShippedNumberIsKnownAtBothEndsOfItsChain(t *testing.T) {
	t.Parallel()
	l := shippedLibrary(t)
	var list []*parts.Part
	require.NoError(t, l.EachPart(func(p *parts.Part) error { list = append(list, p); return nil }))
	for _, p := range list {
		a, err := l.Part(t.Context(), PartQuestion{Text: p.Maker + " " + p.Number})
		require.NoError(t, err)
		require.Len(t, a.Found, 1, p.Full())
		require.NotEmpty(t, a.Found[0].Today)
		for _, set := range a.Found[0].Today {
			require.NotEmpty(t, set.Items)
			if p.Status == parts.Withdrawn {
				continue
			}
			for _, it := range set.Items {
				require.Empty(t, it.Ends, "%s leads nowhere", p.Full())
				if it.ID == p.ID {
					continue
				}
				back, err := l.Part(t.Context(), PartQuestion{Text: it.Maker + " " + it.Number})
				require.NoError(t, err)
				older := ""
				for _, o := range back.Found[0].Older {
					older += o.Number + ";"
				}
				require.Contains(t, older, p.Number+";", "%s is older than %s", p.Number, it.Number)
			}
		}
	}
}

// No answer of the demo lets a part that keeps people safe be exchanged without an
// approval.
func TestNoSafetyPartOfTheDemoIsExchangedWithoutApproval(t *testing.T) {
	t.Parallel()
	l := shippedLibrary(t)
	checked := 0
	var list []*parts.Part
	require.NoError(t, l.EachPart(func(p *parts.Part) error { list = append(list, p); return nil }))
	for _, p := range list {
		if p.Class() == parts.NoSafety {
			continue
		}
		a, err := l.Part(t.Context(), PartQuestion{Text: p.Maker + " " + p.Number})
		require.NoError(t, err)
		for _, s := range a.Found[0].Substitutes {
			checked++
			assert.True(t, s.Approved || s.Refused != "", "%s by %s", p.Full(), s.Number)
		}
		m, err := l.MatchPart(t.Context(), p.Maker+" "+p.Number, 50)
		require.NoError(t, err)
		for _, s := range m.Matches {
			checked++
			assert.True(t, s.Approved || s.Refused != "", "%s like %s", p.Full(), s.Number)
		}
	}
	assert.Greater(t, checked, 500)
}

// A part that a cause names fits the appliance that was asked about.
func TestPartsOfCausesFitTheAppliance(t *testing.T) {
	t.Parallel()
	l := shippedLibrary(t)
	found := 0
	for appliance, maker := range map[note.ID]string{"skerry-c24": "Skerryfold", "tholen-combi-30": "Tarn & Thole", "hollin-combi-25": "Hollin Works", "anvil-combi-27": "Brae Anvil"} {
		for _, words := range []string{"no hot water but heating is fine", "pressure not rising on pump start", "pump hums and nothing gets warm", "clicks but does not light"} {
			a, err := l.Ask(t.Context(), Question{Text: words, Appliance: appliance})
			require.NoError(t, err)
			for _, c := range a.Causes {
				for _, p := range c.Parts {
					found++
					assert.Equal(t, maker, p.Maker, "%s on %s", p.Number, appliance)
				}
			}
		}
	}
	assert.Greater(t, found, 20)
}

// Call-outs are shared out and none is lost.
func TestCallOutsAreSharedOutWhole(t *testing.T) {
	t.Parallel()
	l := shippedLibrary(t)
	const jobs = 80
	c, err := l.CallsOn(t.Context(), []LookedAfter{{"skerry-c24", 3}, {"hollin-air-7", 1}}, jobs)
	require.NoError(t, err)
	sum := c.NoPart + c.Unknown
	for _, d := range c.Demands {
		require.NotEmpty(t, d.Options)
		sum += d.Rate
	}
	assert.InDelta(t, jobs, sum, 1e-6)
	for _, k := range c.Carry {
		assert.Positive(t, k.Cost)
		assert.Positive(t, k.Space)
	}
	_, err = l.CallsOn(t.Context(), []LookedAfter{{"skery-c24", 1}}, jobs)
	var missing *NotFound
	require.ErrorAs(t, err, &missing)
}

// Whatever byte of the store of parts has changed, looking a part up answers or says
// that the library is damaged; it does not panic.
func TestADamagedStoreOfPartsIsAnErrorAndNoPanic(t *testing.T) {
	t.Parallel()
	built, err := built()
	require.NoError(t, err)
	root := t.TempDir()
	require.NoError(t, os.CopyFS(root, os.DirFS(built.Root)))
	files, err := filepath.Glob(filepath.Join(root, "generations", "*", generation.PartsFile))
	require.NoError(t, err)
	require.Len(t, files, 1)
	whole, err := os.ReadFile(files[0])
	require.NoError(t, err)
	require.NoError(t, os.Chmod(files[0], 0o644))
	for at := 0; at < len(whole); at += max(1, len(whole)/150) {
		broken := append([]byte(nil), whole...)
		for i := at; i < min(len(broken), at+8); i++ {
			broken[i] ^= 0xff
		}
		require.NoError(t, os.WriteFile(files[0], broken, 0o644))
		l, err := Open(generation.Store{Root: root})
		if err != nil {
			require.ErrorIs(t, err, generation.ErrDamaged)
			continue
		}
		for _, q := range []string{"SF-4155-00", "60 402 10", "nothing 99", "pump"} {
			if _, err := l.Part(t.Context(), PartQuestion{Text: q}); err != nil {
				assert.True(t, strings.Contains(err.Error(), "kg build") || strings.Contains(err.Error(), "kg lint"), err.Error())
			}
		}
		require.NoError(t, l.Close())
	}
}

func BenchmarkPartByNumber(b *testing.B) {
	l := opened(b)
	for b.Loop() {
		if _, err := l.Part(b.Context(), PartQuestion{Text: "sf 4155.00"}); err != nil {
			b.Fatal(err)
		}
	}
}
