package catalogue

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/library"
	"kg/internal/library/librarytest"
	"kg/internal/note"
	"kg/internal/parts"
)

// Every number of the demo leads to something, and what it leads to knows it as an
// older number.
func TestEveryShippedNumberIsKnownAtBothEndsOfItsChain(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	var list []*parts.Part
	require.NoError(t, l.EachPart(func(p *parts.Part) error { list = append(list, p); return nil }))
	for _, p := range list {
		a, err := LookUp(t.Context(), l, PartQuestion{Text: p.Maker + " " + p.Number})
		require.NoError(t, err)
		require.Len(t, a.Found, 1, p.Full())
		require.NotEmpty(t, a.Found[0].Today)
		for _, set := range a.Found[0].Today {
			require.NotEmpty(t, set.Items)
			if p.Status == note.Withdrawn {
				continue
			}
			for _, it := range set.Items {
				require.Empty(t, it.Ends, "%s leads nowhere", p.Full())
				if it.ID == p.ID {
					continue
				}
				back, err := LookUp(t.Context(), l, PartQuestion{Text: it.Maker + " " + it.Number})
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
	l := librarytest.Shipped(t)
	checked := 0
	var list []*parts.Part
	require.NoError(t, l.EachPart(func(p *parts.Part) error { list = append(list, p); return nil }))
	for _, p := range list {
		if p.Class() == note.NoSafety {
			continue
		}
		a, err := LookUp(t.Context(), l, PartQuestion{Text: p.Maker + " " + p.Number})
		require.NoError(t, err)
		for _, s := range a.Found[0].Substitutes {
			checked++
			assert.True(t, s.Approved || s.Refused != "", "%s by %s", p.Full(), s.Number)
		}
		m, err := MatchPart(t.Context(), l, p.Maker+" "+p.Number, 50)
		require.NoError(t, err)
		for _, s := range m.Matches {
			checked++
			assert.True(t, s.Approved || s.Refused != "", "%s like %s", p.Full(), s.Number)
		}
	}
	assert.Greater(t, checked, 500)
}

// Call-outs are shared out and none is lost.
func TestCallOutsAreSharedOutWhole(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	const jobs = 80
	c, err := shelf{l}.callsOn(t.Context(), []LookedAfter{{"skerry-c24", 3}, {"hollin-air-7", 1}}, jobs)
	require.NoError(t, err)
	sum := c.noPart + c.unknown
	for _, d := range c.demands {
		require.NotEmpty(t, d.Options)
		sum += d.Rate
	}
	assert.InDelta(t, jobs, sum, 1e-6)
	for _, k := range c.carry {
		assert.Positive(t, k.Cost)
		assert.Positive(t, k.Space)
	}
	_, err = shelf{l}.callsOn(t.Context(), []LookedAfter{{"skery-c24", 1}}, jobs)
	var missing *library.NotFound
	require.ErrorAs(t, err, &missing)
}

func BenchmarkPartByNumber(b *testing.B) {
	l := librarytest.Shipped(b)
	for b.Loop() {
		if _, err := LookUp(b.Context(), l, PartQuestion{Text: "sf 4155.00"}); err != nil {
			b.Fatal(err)
		}
	}
}
