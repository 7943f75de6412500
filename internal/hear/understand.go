package hear

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"kg/internal/library"
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

// window is some clauses of a text that stand together.
type window struct {
	text     string
	clauses  []term.Clause
	guesses  guesses
	screened guesses
	grave    float64
	several  float64
	verbatim note.ID
}

// Bounds of what a text is split into.
const (
	widest     = 3   // clauses that are heard together, but for the whole; by what was learned alone
	perFinding = 0.1 // what one more finding costs, in words that are heard for sure
	// enough is how probable it has to be that something known is there, for causes to
	// be worked out.
	enough = 0.5
	// leading is how probable the likeliest of it has to be, and ruledOut the same for
	// what is said not to be there: a cause that is wrongly ruled out is looked for last.
	leading  = 0.2
	ruledOut = 0.4
	// worthAsking is how probable it has to be that a result is told, to ask about it.
	worthAsking = 0.25
	// offered is the same for it to be offered as what may be meant.
	offered = 0.03
	alike   = 0.1 // of the likeliest: other senses that stay in
)

// understand reads a text: codes first, then every part of it for dangers, then
// what it says, as one thing or as several, whichever is heard more clearly.
func (e *ear) understand(ctx context.Context, text string, appliance *library.Scope, s *screen) (understanding, error) {
	text, codes, remarks, err := e.codes(text, appliance)
	if err != nil {
		return understanding{}, err
	}
	out := understanding{findings: codes, remarks: remarks}
	var windows [][]window
	if strings.TrimSpace(text) != "" {
		if windows, err = e.windows(text); err != nil {
			return understanding{}, err
		}
	}
	if err := s.all(ctx, codes, windows); err != nil {
		return understanding{}, err
	}
	for _, w := range clearest(windows) {
		if err := e.take(w, &out); err != nil {
			return understanding{}, err
		}
	}
	return out, e.fine(windows, &out)
}

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

// windows are the parts of a text that are listened to: at [i] those that begin with
// its i-th clause, by how many clauses they hold.
func (e *ear) windows(text string) ([][]window, error) {
	text = strings.TrimSpace(text)
	clauses := term.Clauses(text)
	if len(clauses) == 0 {
		clauses = []term.Clause{{Text: text}}
	}
	starts, ends := make([]int, len(clauses)), make([]int, len(clauses))
	at := 0
	for i, c := range clauses {
		starts[i] = at + max(0, strings.Index(text[at:], c.Text))
		ends[i] = starts[i] + len(c.Text)
		at = min(ends[i], len(text))
	}
	tokens := e.tokens(text)
	out := make([][]window, len(clauses))
	for i := range clauses {
		for j := i; j < len(clauses); j++ {
			whole := i == 0 && j == len(clauses)-1
			if j-i >= widest && !whole {
				continue
			}
			part, around := text[starts[i]:ends[j]], text[:starts[i]]+" "+text[ends[j]:]
			if whole {
				part, around = text, ""
			}
			if _, done := e.read[part]; !done {
				e.read[part] = between(tokens, starts[i], ends[j])
			}
			g, err := e.guess(listened{part, around, whole || i == j})
			if err != nil {
				return nil, err
			}
			out[i] = append(out[i], window{part, clauses[i : j+1], g.meaning, g.screened, g.grave, g.several, g.verbatim})
		}
	}
	return out, nil
}

// between are the tokens of a part of a text.
func between(tokens []term.Token, from, to int) []term.Token {
	var out []term.Token
	for _, t := range tokens {
		if t.Start >= from && t.End <= to {
			out = append(out, term.Token{Term: t.Term, Start: t.Start - from, End: t.End - from})
		}
	}
	return out
}

// clearest splits a text into the windows that are heard most clearly together: the
// sum over its words of how probable it is that they say what they most probably say,
// less a price for each split.
func clearest(windows [][]window) []window {
	n := len(windows)
	best := make([]float64, n+1)
	from := make([]*window, n+1)
	for i := n - 1; i >= 0; i-- {
		best[i] = math.Inf(-1)
		for k := range windows[i] {
			w := &windows[i][k]
			value := float64(float64(len(strings.Fields(w.text)))*w.clarity()) - perFinding + best[i+len(w.clauses)]
			if value > best[i] {
				best[i], from[i] = value, w
			}
		}
	}
	var out []window
	for i := 0; i < n; i += len(from[i].clauses) {
		out = append(out, *from[i])
	}
	return out
}

// clarity is the probability of what is most probably said, and that nothing else is.
func (w window) clarity() float64 {
	p := w.guesses.nothing()
	if len(w.guesses) > 0 {
		p = max(p, w.guesses[0].p)
	}
	return float64((1 - w.several) * p)
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
		t := Told{Text: w.text, Test: first.ID}
		for _, x := range g {
			if x.Says == ResultSaid && x.ID == t.Test {
				t.Results = append(t.Results, Likely{x.Result, x.p})
			}
		}
		out.told = append(out.told, t)
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

// ruleOut takes an entry out of the senses of what is present. It reports
// false where nothing else would be left: then the words mean that entry after
// all, as in "no hot water, heating fine".
func ruleOut(id note.ID, said []Finding) bool {
	for i, u := range said {
		at := slices.IndexFunc(u.Senses, func(r Sense) bool { return r.ID == id })
		if !u.Present || at < 0 {
			continue
		}
		if len(u.Senses) == 1 {
			return false
		}
		said[i].Senses = slices.Delete(slices.Clone(u.Senses), at, at+1)
		share(said[i].Senses)
	}
	return true
}

// share makes the weights of senses add up to 1.
func share(senses []Sense) {
	sum := 0.0
	for _, r := range senses {
		sum += r.Weight
	}
	for i := range senses {
		senses[i].Weight /= sum
	}
}

func (e *ear) sense(g guess) (Sense, error) {
	t, err := e.Title(g.ID)
	return Sense{ID: g.ID, Kind: t.Kind, Name: t.Full, Score: g.p, prior: g.prior}, err
}
