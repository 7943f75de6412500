package parts

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/note"
	"kg/internal/place"
)

// Of two lists the one that prevails is taken whole, of two rows of one list the one
// with the later date; where that does not settle it and they say different things,
// the engineer is told. A note comes first, and what it leaves open is filled in.
func TestWhatIsSaidTwiceIsSettled(t *testing.T) {
	t.Parallel()
	part := func(file string, line int, date, name, note string) *Part {
		return &Part{ID: "ferrow/A1", Number: "A-1", Maker: "Ferrow", Type: "pump", Name: name, Date: date, Note: note, Where: place.Pos{File: file, Line: line}}
	}
	rank := func(p *Part) int { return len(p.Where.File) } // the longer name prevails
	for what, c := range map[string]struct {
		list     []*Part
		name     string
		problems int
	}{
		"the later date, read first":   {[]*Part{part("a", 1, "2026-02-01", "new", ""), part("a", 2, "2026-01-01", "old", "")}, "new", 0},
		"the later date, read last":    {[]*Part{part("a", 1, "2026-01-01", "old", ""), part("a", 2, "2026-02-01", "new", "")}, "new", 0},
		"any date before none":         {[]*Part{part("a", 1, "", "old", ""), part("a", 2, "2026-02-01", "new", "")}, "new", 0},
		"the list that prevails":       {[]*Part{part("a", 1, "2026-02-01", "lower", ""), part("aa", 2, "", "upper", "")}, "upper", 0},
		"the list that prevails first": {[]*Part{part("aa", 1, "", "upper", ""), part("a", 2, "2026-02-01", "lower", "")}, "upper", 0},
		"one date, two names":          {[]*Part{part("a", 1, "2026-01-01", "one", ""), part("a", 2, "2026-01-01", "two", "")}, "one", 1},
		"one date, the same":           {[]*Part{part("a", 1, "2026-01-01", "one", ""), part("a", 2, "2026-01-01", "one", "")}, "one", 0},
		"a note after a list":          {[]*Part{part("aaa", 1, "2026-01-01", "list", ""), part("n", 2, "", "note", "n-1")}, "note", 0},
		"a note before a list":         {[]*Part{part("n", 2, "", "note", "n-1"), part("aaa", 1, "2026-01-01", "list", "")}, "note", 0},
		"a note without a name":        {[]*Part{part("n", 2, "", "", "n-1"), part("aaa", 1, "2026-01-01", "list", "")}, "list", 0},
	} {
		list, problems := Assemble(c.list, rank)
		require.Len(t, list, 1, what)
		assert.Equal(t, c.name, list[0].Name, what)
		assert.Len(t, problems, c.problems, what)
		for _, p := range problems {
			assert.Equal(t, "part-twice", p.Rule)
			assert.Equal(t, 2, p.Line, "the row that is not taken")
		}
	}
}

// What a note leaves open comes from the list, attribute by attribute.
func TestANoteIsFilledInFromAList(t *testing.T) {
	t.Parallel()
	list := &Part{ID: "ferrow/A1", Number: "A-1", Maker: "Ferrow", Type: "pump", Name: "Pump", Status: note.Superseded, Safety: note.Relief, Price: 60, Space: 2, Date: "2026-01-01",
		Fits: []Fit{{Appliance: "a"}}, Attributes: []Attribute{{"head", "6 m"}}, By: []Succession{{}}, Claims: []Claim{{Grade: note.Identical}}, Contains: []Item{{ID: "x/1"}}}
	own := &Part{ID: "ferrow/A1", Number: "A 1", Maker: "Ferrow", Type: "pump", Note: "n-1"}
	got := own.over(list)
	want := *list
	want.Number, want.Note = "A 1", "n-1"
	assert.Equal(t, &want, got)
	full := *list
	full.Note = "n-2"
	other := &Part{Name: "x", Status: note.Current, Safety: note.Gas, Price: 1, Space: 1, Date: "2000-01-01", Fits: []Fit{{}, {}}, Attributes: []Attribute{{}, {}},
		By: []Succession{{}, {}}, Claims: []Claim{{}, {}}, Contains: []Item{{}, {}}}
	assert.Equal(t, &full, full.over(other), "what it says itself stays")
}

// What may not go in stands last; otherwise the order is settled by other things.
func TestWhatIsRefusedStandsLast(t *testing.T) {
	t.Parallel()
	free, one, other := Substitute{}, Substitute{Refused: "for gas"}, Substitute{Refused: "for relief"}
	assert.Equal(t, []int{0, 0, 0, -1, 1}, []int{
		refusedLast(free, free), refusedLast(one, one), refusedLast(one, other), refusedLast(free, one), refusedLast(one, free)})
}

func TestSubstitutesComeInTheOrderOfWhatTheyPromise(t *testing.T) {
	t.Parallel()
	list := assembled(t, `number,maker,type,attributes,interchange
A-1,Ferrow,pump,length: 130 mm,by-attributes to Lunt: 4 [source a] | with-adapter to Lunt: 3 [source a] | identical to Lunt: 2 [source a] | identical to Lunt: 1 [source a] | identical to Lunt: 9 [source a]
1,Lunt,pump,length: 130 mm,identical to Lunt: 5 [source a]
2,Lunt,pump,length: 130.3 mm,
3,Lunt,pump,length: 130 mm,
4,Lunt,pump,length: 130 mm,
5,Lunt,pump,length: 130 mm,
9,Lunt,pump,length: 180 mm,
`)
	of, _ := lookIn(list)(ferrow("A-1"))
	got, err := Interchange(lookIn(list), of)
	require.NoError(t, err)
	assert.Equal(t, []string{"1", "2", "9", "5", "3", "4"}, substituteNumbers(got), "grade, then how many claims, then how far apart")
	assert.True(t, got[0].Agrees())
	assert.False(t, got[2].Agrees())
	_, err = Interchange(func(ID) (*Part, error) { return nil, errors.New("the disk is gone") }, of)
	assert.ErrorContains(t, err, "the disk is gone")
	unknown, err := Interchange(func(ID) (*Part, error) { return nil, nil }, of)
	require.NoError(t, err)
	assert.Len(t, unknown, 5, "what is in no list is claimed all the same")
	assert.Equal(t, "pump", unknown[0].Part.Type)
}

// substituteNumbers are the numbers of substitutes.
func substituteNumbers(list []Substitute) []string {
	var out []string
	for _, s := range list {
		out = append(out, s.Part.Number)
	}
	return out
}

// Of two claims one after the other, the first may be of parts that differ; what the
// second leads to has to agree with the first part, and may not keep people safe.
func TestTwoClaimsInARowHaveToAgreeAtTheEnd(t *testing.T) {
	t.Parallel()
	list := assembled(t, `number,maker,type,attributes,interchange,safety
A-1,Ferrow,pump,length: 130 mm,identical to Lunt: 1 [source a],
1,Lunt,pump,length: 180 mm,identical to Lunt: 2 [source a] | identical to Lunt: 3 [source a] | identical to Lunt: 4 [source a],
2,Lunt,pump,length: 130 mm,,
3,Lunt,pump,length: 180 mm,,
4,Lunt,gas-valve,length: 130 mm,,gas
`)
	of, _ := lookIn(list)(ferrow("A-1"))
	got, err := Interchange(lookIn(list), of)
	require.NoError(t, err)
	assert.Equal(t, []string{"1", "2"}, substituteNumbers(got))
}

func TestAPartFitsTheAppliancesItNamesWithTheirSerialNumbers(t *testing.T) {
	t.Parallel()
	p := Part{Fits: []Fit{{"skerry-c24", Range{}}, {"skerry-s18", Range{"1000", "1999"}}}}
	for _, c := range []struct {
		appliances []string
		serial     Serial
		fits       bool
	}{
		{[]string{"skerry-c24"}, "", true}, {[]string{"skerry-c24"}, "5", true}, {[]string{"skerry", "skerry-c24"}, "", true},
		{[]string{"skerry-s18"}, "", true}, {[]string{"skerry-s18"}, "1000", true}, {[]string{"skerry-s18"}, "1999", true},
		{[]string{"skerry-s18"}, "999", false}, {[]string{"skerry-s18"}, "2000", false},
		{[]string{"other"}, "", false}, {[]string{"other"}, "1500", false}, {nil, "", false},
	} {
		assert.Equal(t, c.fits, p.FitsOn(c.appliances, c.serial), "%v %s", c.appliances, c.serial)
	}
	assert.False(t, (&Part{}).FitsOn([]string{"skerry-c24"}, ""), "a part that names no appliance fits none for certain")
}

// One number with so many branches is looked into as far as the limit, and not a
// step further.
func TestTheLimitOfStepsIsExact(t *testing.T) {
	t.Parallel()
	branching := func(n int) Lookup {
		root := &Part{ID: "ferrow/A1", Number: "A-1", Maker: "Ferrow"}
		for i := range n {
			id := ID(fmt.Sprint("ferrow/B", i))
			root.By = append(root.By, Succession{By: []Item{{ID: id, Count: 1}}})
		}
		return func(id ID) (*Part, error) {
			if id == root.ID {
				return root, nil
			}
			return &Part{ID: id, Maker: "Ferrow"}, nil
		}
	}
	c, err := Follow(branching(9_999), "ferrow/A1", "")
	require.NoError(t, err)
	assert.Len(t, c.Steps, 9_999)
	assert.Len(t, c.Today(), 64, "as many ways are told apart")
	assert.Len(t, reached(c), 10_000)
	_, err = Follow(branching(10_000), "ferrow/A1", "")
	assert.ErrorContains(t, err, "more than 10000 steps")
}

// What replaced parts stands in for comes by how near it is.
func TestOlderNumbersComeTheNearestFirst(t *testing.T) {
	t.Parallel()
	list := assembled(t, `number,maker,type,superseded-by
A-1,Ferrow,pump,A-2
A-2,Ferrow,pump,A-4
A-3,Ferrow,pump,A-4
A-4,Ferrow,pump,A-5
A-5,Ferrow,pump,
`)
	older, err := Older(lookIn(list), ferrow("A-5"))
	require.NoError(t, err)
	var numbers []string
	for _, p := range older {
		numbers = append(numbers, p.Number)
	}
	assert.Equal(t, []string{"A-4", "A-2", "A-3", "A-1"}, numbers)
}

// Of what there is none, none is carried, however good it would be.
func TestNoMoreIsCarriedThanThereIs(t *testing.T) {
	t.Parallel()
	profit := []float64{100, 5, 3}
	fresh := func() tally { return sumWorth{profit} }
	choices := []Choice{{Cost: 1, Space: 1, Most: 0}, {Cost: 1, Space: 1, Most: 2}, {Cost: 1, Space: 1, Most: 1}}
	for _, l := range []Load{bounded(choices, Room{10, 10}, fresh), fillings(choices, Room{10, 10}, fresh, func(Load, tally) {}), searched(t.Context(), choices, Room{10, 10}, fresh, 1000)} {
		assert.Equal(t, []int{0, 2, 1}, l.Counts)
		assert.InDelta(t, 13, l.Worth, 1e-12)
		assert.InDelta(t, 3, l.Cost, 1e-12)
		assert.InDelta(t, 3, l.Space, 1e-12)
		assert.Len(t, l.order, 3)
	}
}

// A load that taking the best first leads to can be made better by taking one thing
// out again. By hand: 12 for 7 and 9 for 6 leave 1 of the 14, where 9, 8 and 5 for 6,
// 4 and 4 fill it.
func TestAnExchangeMakesALoadBetter(t *testing.T) {
	t.Parallel()
	profit := []float64{12, 9, 5, 8}
	fresh := func() tally { return sumWorth{profit} }
	choices := []Choice{{Cost: 7, Most: 1}, {Cost: 6, Most: 1}, {Cost: 4, Most: 1}, {Cost: 4, Most: 1}}
	room := Room{14, 1}
	first := bounded(choices, room, fresh)
	require.Equal(t, []int{0, 1}, first.order)
	assert.InDelta(t, 21, first.Worth, 1e-12)
	better := improved(choices, room, fresh, first)
	assert.Equal(t, []int{0, 1, 1, 1}, better.Counts)
	assert.InDelta(t, 22, better.Worth, 1e-12)
	assert.InDelta(t, 14, better.Cost, 1e-12)
}

// The figures of a load are those of what it carries.
func TestTheFiguresOfALoadAreThoseOfWhatItCarries(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		choices, demands := coverage(t, 6)
		room := Room{float64(rapid.IntRange(0, 30).Draw(t, "budget")), float64(rapid.IntRange(0, 12).Draw(t, "slots"))}
		worth := NewVisitWorth(len(choices), demands)
		fresh := worth.nothingCarried
		for _, l := range []Load{bounded(choices, room, fresh), fillings(choices, room, fresh, func(Load, tally) {}), searched(context.Background(), choices, room, fresh, 5), searched(context.Background(), choices, room, fresh, 100_000)} {
			w := fresh()
			sum, cost, space := 0.0, 0.0, 0.0
			counts := make([]int, len(choices))
			for _, i := range l.order {
				sum += w.gain(i)
				w.put(i)
				counts[i]++
				cost += choices[i].Cost
				space += choices[i].Space
			}
			assert.Equal(t, counts, l.Counts)
			assert.InDelta(t, sum, l.Worth, 1e-9)
			assert.InDelta(t, cost, l.Cost, 1e-9)
			assert.InDelta(t, space, l.Space, 1e-9)
			for i, c := range choices {
				assert.LessOrEqual(t, counts[i], c.Most)
			}
			assert.True(t, l.Gap() >= 0 && l.Gap() <= 1)
		}
	})
	assert.InDelta(t, 0.25, Load{Worth: 3, Bound: 4}.Gap(), 1e-12)
	assert.Zero(t, Load{Worth: 3, Bound: 4, Exact: true}.Gap())
	assert.Zero(t, Load{}.Gap())
}

// Several options for the same calls close each of them once. The bound knows that:
// it is near to all the calls there are, where the sum over the options would be
// three times as much.
func TestTheBoundCountsACallOnce(t *testing.T) {
	t.Parallel()
	const rate = 2.0
	choices := slices.Repeat([]Choice{{Cost: 1, Space: 1, Most: 8}}, 3)
	w := NewVisitWorth(3, []Demand{{Rate: rate, Options: []int{0, 1, 2}}})
	got := w.bound(choices, Room{100, 100})
	assert.GreaterOrEqual(t, got, rate-1e-3, "24 parts close all but a few")
	assert.LessOrEqual(t, got, 1.1*rate)
	// With one option for each there is nothing to count twice: it is the sum of what is
	// closed, as far as the room goes.
	one := NewVisitWorth(2, []Demand{{Rate: rate, Options: []int{0}}, {Rate: rate, Options: []int{1}}})
	closed := 1 - math.Exp(-rate) // E[min(N, 1)] = 1 - P(0)
	two := one.bound([]Choice{{Cost: 1, Space: 1, Most: 1}, {Cost: 1, Space: 1, Most: 1}}, Room{100, 1})
	assert.InDelta(t, closed, two, 1e-6, "room for one of the two")
	both := one.bound([]Choice{{Cost: 1, Space: 1, Most: 1}, {Cost: 1, Space: 1, Most: 1}}, Room{100, 2})
	assert.InDelta(t, 2*closed, both, 1e-6)
	assert.Zero(t, one.bound([]Choice{{Cost: 200, Most: 1}, {Space: 200, Most: 1}}, Room{100, 2}), "nothing fits")
}

// Tails of Poisson's distribution are 1 less what is below, also far out, where the
// rounding of 1 would eat them; and they come to an end where they are nothing.
func TestPoissonTailsAreTheRestOfTheSum(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		mean := rapid.Float64Range(0.01, 20).Draw(t, "mean")
		n := rapid.IntRange(1, 60).Draw(t, "n")
		want := 0.0
		for k := n + 200; k >= n; k-- { // from the small ones up
			lg, _ := math.Lgamma(float64(k + 1))
			want += math.Exp(float64(k)*math.Log(mean) - mean - lg)
		}
		if want > 1e-3 {
			assert.InDelta(t, want, atLeast(mean, n), 1e-12)
		} else {
			assert.InEpsilon(t, want+1e-290, atLeast(mean, n)+1e-290, 1e-9)
		}
	})
	assert.Zero(t, atLeast(1e-300, 5), "too small for a figure")
}

// A choice closes what is asked of it: the sum of the kinds that it would close, less
// the share that its other options have closed already.
func TestAChoiceClosesWhatOthersLeaveOpen(t *testing.T) {
	t.Parallel()
	w := NewVisitWorth(2, []Demand{{Rate: 1, Options: []int{0, 1}}, {Rate: 3, Options: []int{0}}})
	assert.InDelta(t, 4, w.Total(), 1e-12)
	share := func(mean float64) float64 { return (1 - math.Exp(-mean)) / mean } // one of a mean of calls
	assert.InDelta(t, 4*share(4), w.gain(0), 1e-12)
	assert.InDelta(t, share(1), w.gain(1), 1e-12)
	w.put(0)
	assert.InDelta(t, (1-share(4))*share(1), w.gain(1), 1e-12)
	assert.InDelta(t, 4*share(4), NewVisitWorth(2, w.demands).fresh().gain(0), 1e-12)
	gains := w.gains(0, 3)
	require.Len(t, gains, 3)
	for _, g := range gains {
		assert.InDelta(t, g, w.gain(0), 1e-12)
		w.put(0)
	}
	for range 4 {
		w.take(0)
	}
	assert.InDelta(t, share(1), w.gain(1), 1e-12, "what is taken out closes nothing")
	assert.Empty(t, w.gains(0, 0))
	assert.Empty(t, w.gains(0, -2))
}
