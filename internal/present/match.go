package present

import (
	"fmt"
	"math"
	"strings"

	"kg/internal/catalogue"
	"kg/internal/signal"
)

// Match prints the parts that are like one, and how they differ from it.
func (g *Page) Match(a catalogue.MatchAnswer) {
	g.heading("Like " + a.Of.Full())
	if len(a.Of.Attributes) == 0 {
		g.Text(0, "Its list does not say what it is like, so that nothing can be compared.")
		return
	}
	var is []string
	for _, attribute := range a.Of.Attributes {
		is = append(is, attribute.Name+" "+attribute.Text)
	}
	g.Text(0, strings.Join(is, "; "))
	if a.Of.Class != "" && len(a.Matches) > 0 {
		g.gap()
		g.alert(0, signal.Warning, safetyMatch(a))
	}
	for i, m := range a.Matches {
		g.gap()
		text := fmt.Sprintf("%s %s", m.Maker, m.Number)
		if m.Name != "" {
			text += ", " + strings.ToLower(m.Name)
		}
		switch {
		case m.Refused != "":
			text += ": refused, no approval by the maker"
		case m.Approved:
			text += ": approved by the maker"
		case len(m.By) > 0:
			text += ": claimed " + string(m.Grade)
		}
		g.labelled(0, fmt.Sprintf("%2d", i+1), 4, fmt.Sprintf("%s (distance %g)", text, math.Round(10*m.Distance)/10))
		g.differences(m)
	}
	g.gap()
	g.Text(0, fmt.Sprintf("%d parts of this type were compared by what their lists state. What lists do not state may differ.", a.Looked))
	g.closing()
}

func safetyMatch(a catalogue.MatchAnswer) string {
	for _, m := range a.Matches {
		if m.Refused != "" {
			return m.Refused + "."
		}
	}
	return "a safety part: what is approved for one appliance is not for another."
}

// instead prints what may go in for a part, or may not.
func (g *Page) instead(s catalogue.Instead) {
	name := fmt.Sprintf("%s %s", s.Maker, s.Number)
	if s.Refused != "" {
		g.alert(1, signal.Warning, fmt.Sprintf("not %s, whatever its list claims: %s.", name, s.Refused))
		return
	}
	text := fmt.Sprintf("%s: %s", name, s.Grade)
	if s.Approved {
		text += ", approved by the maker"
	}
	if s.Needs != "" {
		text += ", needs " + s.Needs
	}
	g.Text(1, text)
	g.differences(s)
	for _, by := range s.By {
		g.Text(4, "says "+by)
	}
}

// differences prints in what two parts differ, and in what they agree.
func (g *Page) differences(s catalogue.Instead) {
	var same []string
	for _, d := range s.Differences {
		if d.Agrees() {
			same = append(same, d.Name)
			continue
		}
		text := fmt.Sprintf("differs in %s: %s, not %s", d.Name, d.Has, d.Want)
		if d.Has == "" {
			text = fmt.Sprintf("does not state %s (%s)", d.Name, d.Want)
		}
		if d.Why != "" && d.Has != "" {
			text += " (" + d.Why + ")"
		}
		g.Text(4, text)
	}
	if len(same) > 0 {
		g.Text(4, "agrees in "+strings.Join(same, ", "))
	}
}
