// Package hear owns the way from words to what they mean: whether something in them
// ends all work, which symptoms and modes they say are there and which not, what a
// test has found, and what the codes in them stand for. Most of that is learned from
// sayings (see teach); what a team's own notes add is heard by its likeness to their
// sayings. It is pure: it reads a library, decides by its own arithmetic, and runs in
// a browser.
package hear

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"kg/internal/library"
	"kg/internal/note"
)

// Words are what somebody has said.
type Words struct {
	Text string
	More []string // what was said later; where it contradicts, it counts
	// Safe is how many of these texts were said before what stops the work was made
	// safe: they no longer stop it.
	Safe int
	// Symptoms are there for certain, whatever was said.
	Symptoms []note.ID
	// SafeSymptoms is how many of Symptoms were there before that.
	SafeSymptoms int
	// Waited are tests whose results are waited for, which makes them likelier to be
	// told.
	Waited []note.ID
	// Not are entries that the words do not mean, by the word of whoever said them.
	Not []note.ID
	// Explain asks for what each word speaks for.
	Explain bool
}

// Heard is what words mean.
type Heard struct {
	Findings []Finding
	Told     []Told
	Danger   *Danger // what ends all work, if anything does, or may do so
	Each     []Said  // what each of the texts says by itself, whether it was before what was made safe or not
	// Unsure is what may be meant, the likeliest first, where nothing was heard
	// clearly enough to go by.
	Unsure  []Sense
	Remarks []string
}

// Said is what one text says, whatever was said before and after it.
type Said struct {
	Findings []Finding
	Danger   *Danger
}

// Told is what a test has found, as words tell it.
type Told struct {
	Text    string   `json:"text"`
	Test    note.ID  `json:"test"`
	Results []Likely `json:"results"` // the likeliest first
	// Others are other tests that they may tell of instead, the likeliest first.
	Others []Told `json:"others,omitempty"`
}

// Likely is a result of a test that words may tell of.
type Likely struct {
	Result string  `json:"result"`
	Score  float64 `json:"score"` // probability
}

// Hearing is who listens: with what was learned for the program, or for a trial.
type Hearing struct {
	Learned *Learned // nil for what comes with the program
}

// Listen works out what was said at first and later, on an appliance or on any, with
// what comes with the program.
func Listen(ctx context.Context, lib *library.Library, w Words, s *library.Scope) (Heard, error) {
	return Hearing{}.Listen(ctx, lib, w, s)
}

// Listen works out what was said at first and later, on an appliance or on any.
// What is said later about the same thing counts.
func (h Hearing) Listen(ctx context.Context, lib *library.Library, w Words, s *library.Scope) (Heard, error) {
	e := listener(lib, note.KindSymptom, note.KindMode)
	e.not, e.waited = w.Not, w.Waited
	if e.learned = h.Learned; e.learned == nil {
		var err error
		if e.learned, err = shipped(); err != nil {
			return Heard{}, err
		}
	}
	var out Heard
	dangers := &screen{ear: e, stops: map[note.ID]*alarm{}}
	for i, text := range append([]string{w.Text}, w.More...) {
		if strings.TrimSpace(text) == "" {
			out.Each = append(out.Each, Said{})
			continue
		}
		own := &screen{ear: e, stops: dangers.stops}
		u, err := e.understand(ctx, text, s, own)
		if err != nil {
			return out, err
		}
		out.Each = append(out.Each, Said{u.findings, own.danger()})
		if i >= w.Safe {
			dangers.join(own)
		}
		if err := ctx.Err(); err != nil {
			return out, err
		}
		for _, f := range u.findings {
			out.say(f)
		}
		out.Told = append(out.Told, u.told...)
		out.Unsure = append(out.Unsure, u.unsure...)
		out.Remarks = append(out.Remarks, u.remarks...)
		if i > 0 && u.empty() && own.danger() == nil {
			out.Remarks = append(out.Remarks, fmt.Sprintf("%q says nothing that is known here: say it in other words, or give it as the result of a test", text))
		}
	}
	var certain []Finding
	for i, id := range w.Symptoms {
		f, err := Certain(lib, id)
		if err != nil {
			return out, err
		}
		out.say(f)
		if i >= w.SafeSymptoms {
			certain = append(certain, f)
		}
	}
	if len(w.Symptoms) > 0 {
		out.Unsure = nil // it has been answered
	}
	if err := dangers.code(certain); err != nil {
		return out, err
	}
	if w.Explain {
		for i, f := range out.Findings {
			if !f.Present || f.Code != "" {
				continue
			}
			var err error
			if out.Findings[i].Words, err = e.words(f.Text, Meaning{Says: ThereSaid, ID: f.Senses[0].ID}); err != nil {
				return out, err
			}
		}
	}
	out.Danger = dangers.danger()
	return out, nil
}

// say adds a finding; it takes the place of an older one of the same thing.
func (h *Heard) say(f Finding) {
	h.Findings = slices.DeleteFunc(h.Findings, func(old Finding) bool { return old.Senses[0].ID == f.Senses[0].ID })
	h.Findings = append(h.Findings, f)
}

// Certain is the finding of a symptom that is there for certain, or of a mode that is
// meant for certain.
func Certain(lib *library.Library, id note.ID) (Finding, error) {
	rec, err := lib.OfKind(id, "symptom or mode", note.KindSymptom, note.KindMode)
	if err != nil {
		return Finding{}, err
	}
	t, err := lib.Title(id)
	return Finding{Text: t.Full, Present: true, Senses: []Sense{{ID: id, Kind: rec.Entry.Head().Kind, Name: t.Full, Score: 1, Weight: 1}}}, err
}

// Near names some entries of kinds that are somewhat like words.
func Near(lib *library.Library, text string, most int, kinds ...note.Kind) ([]Sense, error) {
	e := listener(lib, kinds...)
	matches, err := e.match(text, most)
	if err != nil {
		return nil, err
	}
	var out []Sense
	for _, m := range matches {
		t, err := e.Title(m.ID)
		if err != nil {
			return nil, err
		}
		out = append(out, Sense{ID: m.ID, Kind: t.Kind, Name: t.Full, Score: m.Score})
	}
	return out, nil
}
