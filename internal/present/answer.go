package present

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"kg/internal/advise"
	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/signal"
)

// MostShown is how many causes are printed unless more are asked for.
const MostShown = 4

// The first causes always have their line, the others from a probability on.
const (
	alwaysShown  = 2
	worthItsLine = 0.03
)

// Answer prints an answer for somebody on a ladder: what stops the work, what was
// understood, the next step with its own dangers, and the causes, a line each; or in full.
func (g *Page) Answer(a advise.Answer, full, why bool) {
	if g.stopped(a) {
		return
	}
	if full {
		g.inFull(a, why)
		return
	}
	g.understood(a, why)
	if len(a.Causes) == 0 {
		g.nothing(a)
		return
	}
	g.remarks(1, 8, a.Field)
	g.gap()
	g.next(a, true)
	g.gap()
	g.heading("Causes")
	for i, c := range a.Causes[:min(len(a.Causes), MostShown)] {
		if i >= alwaysShown && c.Probability < worthItsLine {
			break
		}
		g.causeLine(i+1, c, why)
	}
	if a.Other >= leastOther {
		g.labelled(0, "", 4, otherText(a))
	}
	var elsewhere []library.Alert
	for _, c := range gravest(a.Caveats) {
		if a.Next == nil || !alreadyShown(c, a.Next.Caveats) {
			elsewhere = append(elsewhere, c)
		}
	}
	g.alertNames(0, elsewhere, nil)
	if g.job == "" {
		g.Text(0, "--full prints chains, other tests, repairs and all cautions.")
	}
	g.closing()
}

// inFull prints an answer with all that is known of each cause.
func (g *Page) inFull(a advise.Answer, why bool) {
	danger := gravest(a.Caveats)
	for _, c := range danger {
		g.alert(0, c.Level, c.Text)
	}
	if len(danger) > 0 {
		g.gap()
	}
	g.understood(a, why)
	if len(a.Causes) == 0 {
		g.nothing(a)
		return
	}
	g.remarks(1, 8, a.Field)
	g.gap()
	g.heading("Causes")
	for i, c := range a.Causes {
		if i > 0 {
			g.gap()
		}
		g.cause(i+1, c, why, danger)
	}
	if a.Other >= leastOther {
		g.gap()
		g.Text(0, otherText(a))
	}
	g.gap()
	g.next(a, false)
	g.causeAlerts(1, a.Caveats, danger)
	g.closing()
}

// stopped prints what stops the work, or may, and reports whether anything does.
func (g *Page) stopped(a advise.Answer) bool {
	switch {
	case a.Stop == nil:
		return false
	case a.Stop.Sure:
		g.stop(a)
	default:
		g.mayStop(a)
	}
	return true
}

// leastOther is from which probability on it is said that the cause may be one that
// no note has.
const leastOther = 0.005

func otherText(a advise.Answer) string {
	return fmt.Sprintf("Something that these notes do not know: %s.", InWords(a.Other))
}

// mayStop prints what to do first about what may stop the work, and asks whether it
// is there.
func (g *Page) mayStop(a advise.Answer) {
	may := a.Stop.All()
	g.alert(0, signal.Danger, "THIS MAY STOP THE WORK. Until you know, act as if it did.")
	for _, d := range may {
		g.gap()
		g.heading(d.Name + ": do this first")
		for i, s := range d.First {
			g.labelled(0, fmt.Sprintf("%2d", i+1), 4, s)
		}
	}
	g.gap()
	g.heading("Is it there?")
	not := ""
	for i, d := range may {
		g.labelled(0, fmt.Sprintf("%2d", i+1), 4, fmt.Sprintf("%s [%s]: do the above, and nothing else", d.Name, d.Symptom))
		not += " --not " + string(d.Symptom)
	}
	g.labelled(0, fmt.Sprintf("%2d", len(may)+1), 4, "no, none of that: "+g.saying(a, len(may)+1, not))
	g.gap()
	g.Text(0, "No test, repair or cause is named until this is answered.")
}

// saying is the command that gives an answer to a question.
func (g *Page) saying(a advise.Answer, number int, flags string) string {
	if g.job != "" {
		return fmt.Sprintf("kg job tell %s %d", g.job, number)
	}
	return fmt.Sprintf("kg ask %q%s", clean(a.Query), flags)
}

// gravest returns the caveats of level danger.
func gravest(alerts []library.Alert) []library.Alert {
	var out []library.Alert
	for _, a := range alerts {
		if a.Level == signal.Danger {
			out = append(out, a)
		}
	}
	return out
}

func (g *Page) stop(a advise.Answer) {
	g.alert(0, signal.Danger, "STOP WORK. "+a.Stop.Name+".")
	g.gap()
	g.heading("Do this first")
	for i, s := range a.Stop.First {
		g.labelled(0, fmt.Sprintf("%2d", i+1), 4, s)
	}
	g.gap()
	if p := a.Proof; p != nil {
		g.Text(0, strings.TrimSpace(fmt.Sprintf("%s found %q [%s]: the danger is still there. %s", p.Of, clean(p.Found), p.Test, p.Means)))
		g.Text(0, "Once somebody who may has put it right, note that with `kg job safe`; then the test is done again.")
		g.gap()
	}
	for _, c := range a.Caveats {
		g.alert(0, c.Level, c.Text)
	}
	g.Text(0, "No diagnosis goes on until this is made safe. Local emergency numbers and rules come first.")
	g.Text(0, fmt.Sprintf("From %s; if that is not what you meant, say it in other words, or %s.", a.Stop.Note, g.takingBack(a)))
}

// takingBack is how a stop is taken back.
func (g *Page) takingBack(a advise.Answer) string {
	if g.job != "" {
		return fmt.Sprintf("take it back: kg job undo %s", g.job)
	}
	return fmt.Sprintf("say that it is not there: kg ask %q --not %s", clean(a.Query), a.Stop.Symptom)
}

func (g *Page) understood(a advise.Answer, why bool) {
	g.heading("Understood")
	for _, f := range a.Findings {
		sign := "yes"
		if !f.Present {
			sign = "no"
		}
		g.labelled(1, sign, 5, fmt.Sprintf("%s [%s]", f.Name, f.Symptom))
		if f.Code != "" {
			g.Text(6, "from the code "+clean(f.Code))
		} else {
			g.from(a.Query, f.Text)
		}
		if f.Present && f.Code == "" && f.Score < loose {
			g.Text(6, "This is only loosely like what you said: check it first.")
		}
		if why && len(f.Words) > 0 {
			g.Text(6, fmt.Sprintf("%s, by the words (in decibans): %s", InWords(f.Score), spoken(f.Words)))
		}
		if f.Doubt {
			var others []string
			for _, r := range f.Others[1:] {
				others = append(others, fmt.Sprintf("%s [%s]", r.Name, r.ID))
			}
			g.Text(6, "or it could be: "+strings.Join(others, "; ")+". The doubt is in the figures below; say more to settle it.")
		}
	}
	for _, t := range a.Tested {
		g.labelled(1, "test", 5, fmt.Sprintf("%s: %s [%s]", t.Name, t.Result, t.Test))
	}
	for _, r := range a.Read {
		g.labelled(1, "read", 5, fmt.Sprintf("%s: %s, %s [%s]", r.Name, clean(r.Figures), judged(r), r.Test))
	}
	for _, m := range a.Mended {
		g.labelled(1, "did", 5, fmt.Sprintf("%s, it did not help [%s]", m.Name, m.Remedy))
	}
	for _, r := range a.Remarks {
		g.labelled(1, "", 5, clean(r))
	}
	g.conflicts(a.Conflicts, findingNames(a.Findings))
	if e := a.Estimate; e != nil {
		g.labelled(1, "", 5, fmt.Sprintf("The figures are estimates, off by up to about %.0f in 100: exact ones would take %d MiB for %d things at once.",
			math.Ceil(200*e.Error), e.Bytes>>20, e.Variables))
	}
}

// judged says in short what a reading says.
func judged(r advise.Judged) string {
	out := r.Verdict
	if out == "" {
		out = "not judged"
	}
	if band := bandText(&r.Judgement); band != "" {
		out += "; a healthy part shows " + band
	}
	return out
}

// findingNames are the names of findings by their ids.
func findingNames(findings []advise.Found) map[string]string {
	out := map[string]string{}
	for _, f := range findings {
		out[string(f.Symptom)] = f.Name
		if !f.Present {
			out[string(f.Symptom)] += ": not there"
		}
	}
	return out
}

// nameOr returns the name of a finding; a result of a test names itself.
func nameOr(names map[string]string, finding string) string {
	if name := names[finding]; name != "" {
		return name
	}
	return finding
}

// conflicts prints what does not go with the rest, the worst first: that is to be taken
// again before anything else. Two findings that do not go with each other are named once.
func (g *Page) conflicts(list []advise.Conflict, names map[string]string) {
	for i, c := range list {
		if slices.ContainsFunc(list[:i], func(o advise.Conflict) bool { return o.Finding == c.With && o.With == c.Finding }) {
			continue
		}
		g.labelled(1, "odd", 5, fmt.Sprintf("%q does not go with the rest, least of all with %q: together they are %.3g times rarer than apart. Take the first again, then the other, or think of two faults.",
			nameOr(names, c.Finding), nameOr(names, c.With), math.Exp2(c.Bits)))
	}
}

// loose is the probability of what was heard below which it should be checked.
const loose = 0.4

// spoken is how much each word spoke for what was heard.
func spoken(words []advise.Word) string {
	var out []string
	for _, w := range words {
		out = append(out, fmt.Sprintf("%s %+.0f", clean(w.Word), w.Decibans))
	}
	return strings.Join(out, ", ")
}

func (g *Page) nothing(a advise.Answer) {
	asks := a.Next != nil && a.Next.Kind == advise.StepAsk
	if len(a.Findings)+len(a.Tested) > 0 || asks {
		g.labelled(1, "", 5, "what is wrong is not clear from that.")
	} else if len(a.Remarks) == 0 {
		g.labelled(1, "", 5, fmt.Sprintf("nothing: no symptom in the notes is like %q.", clean(a.Query)))
	}
	if asks {
		g.gap()
		g.heading("Do you mean")
		not := ""
		for i, r := range a.Near {
			g.labelled(0, fmt.Sprintf("%2d", i+1), 4, fmt.Sprintf("%s: %s", r.Name, g.saying(a, i+1, " --is "+string(r.ID))))
			not += " --not " + string(r.ID)
		}
		g.labelled(0, fmt.Sprintf("%2d", len(a.Near)+1), 4, "none of these: "+g.saying(a, len(a.Near)+1, not))
		return
	}
	if len(a.Near) > 0 {
		g.gap()
		g.heading("Nearest")
		for _, r := range a.Near {
			g.labelled(1, "", 5, fmt.Sprintf("%s [%s]", r.Name, r.ID))
		}
	}
	g.gap()
	if a.Proof != nil { // a danger that is to be proved gone, whatever else is the matter
		g.next(a, true)
		g.gap()
	}
	g.Text(0, "Say it in other words, or look with `kg find WORDS`.")
}

// next prints the next step with all that is needed to do it, and where that is wanted
// its own cautions: its dangers in full.
func (g *Page) next(a advise.Answer, cautions bool) {
	n := a.Next
	if n == nil {
		return
	}
	g.heading("Next")
	g.Text(1, step(n.Name, n.Minutes, n.Who, n.ID))
	if cautions {
		own := gravest(n.Caveats)
		for _, c := range own {
			g.alert(1, c.Level, c.Text)
		}
		g.alertNames(1, n.Caveats, own)
	}
	g.labelled(1, "why", 5, n.Why+".")
	var own []string
	for _, c := range n.Costs {
		if c.Own() {
			own = append(own, fmt.Sprintf("%s %.4g (usually %.4g)", c.Name, c.Minutes, c.Usual))
		}
	}
	if len(own) > 0 {
		g.labelled(1, "cost", 5, "by your own figures, in minutes of paid work: "+strings.Join(own, ", ")+".")
	}
	if l := n.Licensed; l != nil {
		g.labelled(1, "", 5, "For someone who may do it: "+step(l.Name, 0, l.Who, l.ID)+".")
	}
	for _, p := range n.First {
		g.labelled(1, "first", 5, readied[p])
	}
	g.steps(1, n.Isolation, n.Steps)
	if len(n.Checks) > 0 {
		g.Text(1, "checked afterwards: "+listed(n.Checks))
	}
	for i, r := range n.Results {
		if i == 0 {
			g.Text(1, "what was found, by its number:")
		}
		text := r.Name
		if r.First != "" {
			text += fmt.Sprintf(": %s, %s", r.FirstName, InWords(r.Probability))
		}
		if !cautions && r.Means != "" {
			text += ". " + r.Means
		}
		g.labelled(1, fmt.Sprintf("%d", i+1), 3, text)
	}
}

// readied is what to do to get an appliance as a step needs it, where it was found
// otherwise.
var readied = map[note.Preparation]string{
	note.Reset:   "reset the lockout, once; if it locks out again before you have seen enough, leave it locked out.",
	note.Running: "call for heat, and see that the call arrives.",
}

// from says which words a finding is from, unless they are all that was said.
func (g *Page) from(all, words string) {
	if strings.TrimSpace(all) != strings.TrimSpace(words) {
		g.Text(6, fmt.Sprintf("from %q", clean(words)))
	}
}
