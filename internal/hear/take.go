package hear

import (
	"fmt"
	"slices"
	"strings"

	"kg/internal/note"
	"kg/internal/term"
)

// understanding is what came of one text.
type understanding struct {
	findings []Finding
	told     []Told
	unsure   []Sense
	remarks  []string
}

// Bounds of what is taken as said.
const (
	// enough is how probable it has to be that something known is there, for causes to
	// be worked out.
	enough = 0.5
	// leading is how probable the likeliest of it has to be, and ruledOut the same for
	// what is said not to be there: a cause that is wrongly ruled out is looked for last.
	leading  = 0.2
	ruledOut = 0.4
	// worthAsking is how probable it has to be that a result is told, to ask about it.
	worthAsking = 0.15
	// otherTests is how many other tests are named with the result that words sound like.
	otherTests = 2
	// offered is the same for it to be offered as what may be meant.
	offered = 0.03
	alike   = 0.1 // of the likeliest: other senses that stay in
)

// fine takes what clauses say to be fine, and which is not learned as something that
// is absent, for the absence of the symptom that just that thing does not work.
func (e *ear) fine(windows [][]window, out *understanding) error {
	for _, row := range windows {
		c := row[0]
		if !c.clauses[0].Fine || len(c.guesses) > 0 && c.guesses[0].Says == AbsentSaid {
			continue
		}
		f, ok, err := e.absent(c.clauses[0])
		if err != nil {
			return err
		}
		if ok && ruleOut(f.Senses[0].ID, out.findings) {
			out.add(f)
		}
	}
	return nil
}

// absent finds the symptom that is ruled out when something is said to be fine:
// the one of just that thing not working. A symptom that is about more than what
// was said does not follow.
func (e *ear) absent(c term.Clause) (Finding, bool, error) {
	const several = 20 // since those about more than was said come in between
	opposite := "no " + c.Subject + " not working"
	matches, err := e.match(opposite, several)
	if err != nil {
		return Finding{}, false, err
	}
	said := map[string]bool{}
	for _, t := range e.Tokens(opposite + " not coming on at all") {
		said[t.Term] = true
	}
	for _, m := range matches {
		beyond := slices.ContainsFunc(strings.Fields(m.Saying), func(t string) bool { return !said[t] })
		if m.Kind != note.KindSymptom || beyond || m.Score < likeForAbsent {
			continue
		}
		s, err := e.sense(guess{Meaning: Meaning{Says: ThereSaid, ID: m.ID}, kind: m.Kind, p: m.Score})
		if err != nil {
			return Finding{}, false, err
		}
		s.Weight = 1
		return Finding{Text: c.Text, Senses: []Sense{s}}, true, nil
	}
	return Finding{}, false, nil
}

// take adds what a window says.
func (e *ear) take(w window, out *understanding) error {
	g := w.guesses
	if len(g) == 0 {
		return nil
	}
	sums := [ResultSaid + 1]float64{}
	for _, x := range g {
		sums[x.Says] += x.p
	}
	mostly := ThereSaid
	for _, says := range []Says{AbsentSaid, ResultSaid} {
		if sums[says] > sums[mostly] {
			mostly = says
		}
	}
	first := g[max(0, slices.IndexFunc(g, func(x guess) bool { return x.Says == mostly }))]
	switch {
	case mostly == AbsentSaid && first.p >= ruledOut && sums[AbsentSaid] >= enough:
		f := Finding{Text: w.text}
		s, err := e.sense(first)
		if err != nil {
			return err
		}
		s.Weight = 1
		f.Senses = []Sense{s}
		if ruleOut(s.ID, out.findings) {
			out.add(f)
		}
	case mostly == ResultSaid && sums[ResultSaid] >= worthAsking:
		out.told = append(out.told, g.told(w.text))
	case mostly == ThereSaid && first.p >= leading && sums[ThereSaid] >= enough:
		f := Finding{Text: w.text, Present: true}
		for _, x := range g {
			if x.Says != ThereSaid || x.p < alike*first.p || len(f.Senses) == mostSenses {
				continue
			}
			s, err := e.sense(x)
			if err != nil {
				return err
			}
			f.Senses = append(f.Senses, s)
		}
		f.weigh()
		out.add(f)
	case len(w.clauses) == 1 && w.clauses[0].Fine && g.nothing() < enough:
		out.remarks = append(out.remarks, fmt.Sprintf("%q says that something is fine; which symptom that rules out is not clear", w.text))
	default:
		for _, x := range g {
			if x.Says != ThereSaid || x.p < offered || len(out.unsure) == mostSenses {
				continue
			}
			s, err := e.sense(x)
			if err != nil {
				return err
			}
			out.unsure = append(out.unsure, s)
		}
	}
	return nil
}

// told are the results that words tell of, by test, the likeliest first.
func (g guesses) told(text string) Told {
	var all []Told
	for _, x := range g {
		if x.Says != ResultSaid || len(all) > 0 && x.p < alike*all[0].Results[0].Score {
			continue
		}
		at := slices.IndexFunc(all, func(t Told) bool { return t.Test == x.ID })
		if at < 0 {
			if len(all) > otherTests {
				continue
			}
			at = len(all)
			all = append(all, Told{Text: text, Test: x.ID})
		}
		all[at].Results = append(all[at].Results, Likely{x.Result, x.p})
	}
	all[0].Others = all[1:]
	return all[0]
}

// empty reports whether nothing came of a text.
func (u understanding) empty() bool {
	return len(u.findings)+len(u.told)+len(u.unsure)+len(u.remarks) == 0
}

// add adds a finding unless the same has been heard before.
func (u *understanding) add(f Finding) {
	if !slices.ContainsFunc(u.findings, func(old Finding) bool {
		return old.Present == f.Present && old.Senses[0].ID == f.Senses[0].ID
	}) {
		u.findings = append(u.findings, f)
	}
}

func (e *ear) sense(g guess) (Sense, error) {
	t, err := e.Title(g.ID)
	return Sense{ID: g.ID, Kind: t.Kind, Name: t.Full, Score: g.p, prior: g.prior}, err
}
