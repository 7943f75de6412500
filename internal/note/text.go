package note

import "strings"

// ComponentNames returns a function that gives the name of the component that an
// entry of some notes is a mode of; empty for other entries.
func ComponentNames(notes []*Note) func(Entry) string {
	names := map[ID]string{}
	for _, n := range notes {
		names[n.ID()] = n.Name()
	}
	return func(e Entry) string {
		if m, ok := e.(*Mode); ok {
			return names[m.Component]
		}
		return ""
	}
}

// Sayings returns the phrases that an entry goes by: its names, for a mode
// together with its component. Only symptoms, modes and components go by any.
func Sayings(e Entry, component string) []string {
	h := e.Head()
	switch e.(type) {
	case *Symptom:
		return append([]string{h.Name}, h.Also...)
	case *Mode:
		return append([]string{component + " " + h.Name}, h.Also...)
	case *Component:
		return append([]string{h.Name}, h.Also...)
	}
	return nil
}

// AllText returns everything that is written in an entry.
func AllText(e Entry, component string) string {
	h := e.Head()
	out := []string{component, h.Name, string(h.ID), h.Body}
	out = append(out, h.Also...)
	work := func(w Work) {
		out = append(out, w.Steps...)
		out = append(out, w.Tools...)
		out = append(out, w.Isolation)
	}
	switch e := e.(type) {
	case *Appliance:
		out = append(out, e.Maker)
	case *Mode:
		out = append(out, e.IfLeft)
	case *Symptom:
		out = append(out, e.StopWork...)
	case *Test:
		work(e.Work)
		for _, r := range e.Results {
			out = append(out, r.Name, r.Means)
		}
	case *Remedy:
		work(e.Work)
		out = append(append(out, e.Checks...), e.Limits...)
	case *Part:
		out = append(out, e.Number, e.Maker)
	case *Caveat:
		out = append(out, string(e.Level), e.Text)
	case *Job:
		out = append(out, e.Words, e.Date)
	case *Synonym:
		out = append(out, e.Words...)
	}
	return strings.Join(out, "\n")
}
