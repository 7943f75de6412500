package present

import (
	"fmt"
	"strings"
	"time"

	"kg/internal/advise"
	"kg/internal/job"
	"kg/internal/note"
	"kg/internal/place"
	"kg/internal/signal"
)

// Solved prints what is left to do once a remedy has helped: its checks, and what
// may have been behind the fault.
func (g *Page) Solved(j job.Job, r *note.Remedy, behind []advise.Consequence) {
	g.heading(fmt.Sprintf("Job %s: %s", j.ID, r.Name))
	if r.Measure == note.StopGap {
		g.Text(1, "It runs, but this is a stop-gap and no repair. "+listed(r.Limits)+".")
	} else {
		g.Text(1, "It helped. Before you leave:")
	}
	for i, c := range r.Checks {
		g.labelled(1, fmt.Sprintf("%d", i+1), 3, c)
	}
	if len(behind) > 0 {
		g.gap()
		g.heading("What may have been behind it")
		for _, b := range behind {
			g.Text(1, fmt.Sprintf("%s [%s]", b.Name, b.Mode))
		}
	}
	g.closing()
}

// JobState prints where a job stands: the answer to all that it holds, under the
// name of the job.
func (g *Page) JobState(j job.Job, a advise.Answer) {
	g.heading(fmt.Sprintf("Job %s", j.ID))
	g.gap()
	g.job = string(j.ID)
	g.Answer(a, false, false)
}

// JobEmpty says that a job holds nothing to go by.
func (g *Page) JobEmpty(id job.ID) {
	g.Text(0, fmt.Sprintf("Job %s says nothing yet: `kg job tell %s \"what is wrong\"`.", id, id))
}

// NoJobs says that there is no job.
func (g *Page) NoJobs() { g.line("No job was begun yet: `kg job start \"what is wrong\"`.") }

// Job prints what a job holds.
func (g *Page) Job(j job.Job, file string) {
	g.heading(fmt.Sprintf("Job %s", j.ID))
	if j.Appliance != "" {
		g.Text(1, "appliance "+string(j.Appliance))
	}
	for _, e := range j.Entries {
		text := entryText(e)
		g.labelled(1, e.At.Local().Format("15:04"), 7, text)
	}
	g.Text(1, "kept in "+file)
}

// JobTitle prints the id of a job and what it is about, as a line of a list.
func (g *Page) JobTitle(j job.Job) {
	words := j.Question().Text
	if j.Solved() {
		words += " (solved)"
	}
	g.labelled(0, string(j.ID), 14, words)
}

// Barred warns that something was done which a danger forbids.
func (g *Page) Barred(e job.Entry, bars []advise.Bar) {
	for _, b := range bars {
		text := fmt.Sprintf("%s is not to be done while this is not ruled out: %s. ", e.Of, b.Name)
		if b.Proof != "" {
			text += fmt.Sprintf("First: %s [%s].", b.First, b.Proof)
		} else {
			text += fmt.Sprintf("First: %s Then `kg job safe` (`kg show %s` has the rest).", strings.TrimSuffix(b.First, ".")+".", b.Symptom)
		}
		g.alert(0, signal.Warning, text+" It is noted all the same.")
	}
}

// HeardAsResult says that words were taken as the result of a test.
func (g *Page) HeardAsResult(id job.ID, test note.ID, result string) {
	g.Text(0, fmt.Sprintf("Heard as the result of %s: %s. `kg job undo %s` takes it back.", test, result, id))
}

// TakenBack says which entry of a job counts no more.
func (g *Page) TakenBack(e job.Entry) { g.Text(0, "Taken back: "+entryText(e)+".") }

// entryText says in words what an entry says.
func entryText(e job.Entry) string {
	switch e.Kind {
	case job.Said:
		return fmt.Sprintf("said %q", clean(e.Words))
	case job.Safe:
		return fmt.Sprintf("made safe: %q", clean(e.Words))
	case job.Means:
		return "meant: " + listedIDs(e.These)
	case job.Not:
		return "not meant: " + listedIDs(e.These)
	case job.Tested:
		return fmt.Sprintf("tested %s: %q", e.Of, clean(e.Result))
	case job.Read:
		return fmt.Sprintf("read %s: %s", e.Of, clean(e.Result))
	case job.Did:
		return fmt.Sprintf("did %s: it %s", e.Of, helpedWord(e.Helped))
	}
	return string(e.Kind)
}

func helpedWord(helped bool) string {
	if helped {
		return "helped"
	}
	return "did not help"
}

// JobJSON is the JSON form of a job.
type JobJSON struct {
	Job       job.ID         `json:"job"`
	Appliance note.ID        `json:"appliance,omitempty"`
	Solved    bool           `json:"solved"`
	File      string         `json:"file"`
	Entries   []JobEntryJSON `json:"entries"`
	Problems  []string       `json:"problems"`
}

// JobEntryJSON is the JSON form of an entry of a job.
type JobEntryJSON struct {
	At     time.Time `json:"at"`
	Kind   job.Kind  `json:"kind"`
	Words  string    `json:"words,omitempty"`
	Of     note.ID   `json:"of,omitempty"`
	Result string    `json:"result,omitempty"`
	These  []note.ID `json:"these,omitempty"`
	Helped *bool     `json:"helped,omitempty"`
}

// NewJobJSON is a job for other programs.
func NewJobJSON(j job.Job, file string, problems []place.Problem) JobJSON {
	out := JobJSON{Job: j.ID, Appliance: j.Appliance, Solved: j.Solved(), File: file, Entries: []JobEntryJSON{}, Problems: []string{}}
	for _, e := range j.Entries {
		entry := JobEntryJSON{At: e.At, Kind: e.Kind, Words: e.Words, Of: e.Of, Result: e.Result, These: e.These}
		if e.Kind == job.Did {
			entry.Helped = &e.Helped
		}
		out.Entries = append(out.Entries, entry)
	}
	for _, p := range problems {
		out.Problems = append(out.Problems, p.Error())
	}
	return out
}

// JobAnswerJSON is the JSON form of where a job stands.
type JobAnswerJSON struct {
	Job job.ID `json:"job"`
	advise.Answer
}

func listedIDs(ids []note.ID) string {
	var out []string
	for _, id := range ids {
		out = append(out, string(id))
	}
	return strings.Join(out, ", ")
}
