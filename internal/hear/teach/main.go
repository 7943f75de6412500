// Command teach makes what hearing has learned of the sayings in speech and in the
// shipped notes. The same sayings give the same bytes.
//
//	go generate ./internal/hear
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"

	"kg/data"
	"kg/internal/classify"
	"kg/internal/classify/fit"
	"kg/internal/hear"
	"kg/internal/ingest"
	"kg/internal/note"
	"kg/internal/term"
	"kg/speech"
)

// course is how hearing learns. It was chosen on speakers that were left out.
var course = fit.Course{Rounds: 10, Rate: 3, Drop: 0.3, AtLeast: 3, Seed: 1}

// least is the weight below which one is left out of the file.
const least = 0.3

// leastOfTone is the same for weights of tones.
const leastOfTone = 0.1

// The files that are written, which package hear embeds.
const (
	meaningsFile = "meanings.bin"
	tonesFile    = "tones.bin"
)

func main() {
	out := flag.String("o", ".", "write what was learned into `DIR`")
	without := flag.String("without", "", "leave these `SPEAKERS` out, parted by commas, for a trial")
	check := flag.Bool("check", false, "only see whether what is in DIR was learned from the sayings as they are now")
	flag.Parse()
	if err := run(context.Background(), *out, strings.Split(*without, ","), *check); err != nil {
		fmt.Fprintln(os.Stderr, "teach:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, folder string, without []string, check bool) error {
	lessons, synonyms, err := lessons(ctx, without)
	if err != nil {
		return err
	}
	var classes []string
	number := map[string]int{}
	var examples []fit.Example
	var tones []int // of the examples
	stops := grave(lessons)
	vary := newVaried(course.Seed)
	for _, l := range lessons {
		class := l.means.Class()
		if _, known := number[class]; !known {
			number[class] = len(classes)
			classes = append(classes, class)
		}
		for _, text := range l.texts(vary) {
			if text != "" {
				examples = append(examples, fit.Example{Features: hear.Features(text, synonyms.Read(text), synonyms.Read(l.around)), Class: number[class]})
				tones = append(tones, int(l.tone(stops)))
			}
		}
	}
	from := fit.DigestOf(examples, classes, course)
	if check {
		return errors.Join(learnedFrom(filepath.Join(folder, meaningsFile), from), learnedFrom(filepath.Join(folder, tonesFile), from))
	}
	moods := slices.Clone(examples)
	for i := range moods {
		moods[i].Class = tones[i]
	}
	var meanings, toned []byte
	var learning errgroup.Group
	learning.Go(func() (err error) {
		meanings, err = fit.Fit(examples, len(classes), course).Encode(classes, least, from)
		return err
	})
	learning.Go(func() (err error) {
		toned, err = fit.Fit(moods, len(hear.Tones()), course).Encode(hear.Tones(), leastOfTone, from)
		return err
	})
	if err := learning.Wait(); err != nil {
		return err
	}
	if _, err := hear.Decode(meanings, toned); err != nil {
		return fmt.Errorf("reading back what was learned: %w", err)
	}
	return errors.Join(
		os.WriteFile(filepath.Join(folder, meaningsFile), meanings, 0o644),
		os.WriteFile(filepath.Join(folder, tonesFile), toned, 0o644))
}

// learnedFrom sees whether a file was learned from some examples.
func learnedFrom(file string, from classify.Digest) error {
	text, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	was, err := fit.From(text)
	if err != nil {
		return fmt.Errorf("%s: %w: run `go generate ./internal/hear`", file, err)
	}
	if was != from {
		return errors.New(file + " was learned from other sayings than those of now: run `go generate ./internal/hear`")
	}
	return nil
}

// lesson is a saying with what it means.
type lesson struct {
	means  hear.Meaning
	text   string
	story  bool   // a part of a story
	around string // what is told before and after it
	grave  bool   // a saying of a note on what stops the work
	// of is all that is said, where that is more than one thing.
	of []hear.Meaning
}

// texts are all ways in which a saying is taught. Parts of stories are many as it is.
func (l lesson) texts(vary varied) []string {
	if l.story {
		return []string{l.text}
	}
	return append(slips(l), l.text, vary.text(l.text))
}

// grave are the symptoms that stop the work.
func grave(lessons []lesson) map[note.ID]bool {
	out := map[note.ID]bool{}
	for _, l := range lessons {
		if l.grave {
			out[l.means.ID] = true
		}
	}
	return out
}

// tone is the tone of a saying.
func (l lesson) tone(stops map[note.ID]bool) hear.Tone {
	if l.means.Says != hear.SeveralSaid {
		return tone(l.means, stops)
	}
	out := hear.Tone(hear.AbsentSaid)
	for _, m := range l.of {
		switch t := tone(m, stops); {
		case t == hear.GraveTone:
			return t
		case t == hear.Tone(hear.ThereSaid):
			out = t
		}
	}
	return out
}

// tone is the tone of what says one thing.
func tone(m hear.Meaning, stops map[note.ID]bool) hear.Tone {
	if m.Says == hear.ThereSaid && stops[m.ID] {
		return hear.GraveTone
	}
	return hear.Tone(m.Says)
}

// lessons are the sayings of the notes and of all speakers but some.
func lessons(ctx context.Context, without []string) ([]lesson, term.Synonyms, error) {
	read, err := ingest.Read(ctx, []ingest.Source{{Name: "shipped", Root: "shipped", FS: data.Notes}})
	if err != nil {
		return nil, term.Synonyms{}, err
	}
	var out []lesson
	component := note.ComponentNames(read.Notes)
	for _, n := range read.Notes {
		switch e := n.Entry.(type) {
		case *note.Symptom:
			for _, s := range note.Sayings(e, "") {
				out = append(out, lesson{means: hear.Meaning{Says: hear.ThereSaid, ID: e.ID}, text: s, grave: len(e.StopWork) > 0})
			}
		case *note.Mode:
			for _, s := range note.Sayings(e, component(e)) {
				out = append(out, lesson{means: hear.Meaning{Says: hear.ThereSaid, ID: e.ID}, text: s})
			}
		case *note.Test:
			for _, r := range e.Results {
				out = append(out, lesson{means: hear.Meaning{Says: hear.ResultSaid, ID: e.ID, Result: r.Name}, text: r.Name})
			}
		}
	}
	sayings, err := speech.Read(speech.Files)
	if err != nil {
		return nil, term.Synonyms{}, err
	}
	means := map[hear.Meaning]bool{{}: true}
	for _, l := range out {
		means[l.means] = true
	}
	for _, s := range sayings {
		if slices.Contains(without, s.Speaker) {
			continue
		}
		of := hear.Meaning{Says: hear.ThereSaid, ID: note.ID(s.ID), Result: s.Result}
		switch {
		case s.ID == speech.Nothing:
			of = hear.Meaning{}
		case s.Kind == speech.Results:
			of.Says = hear.ResultSaid
		}
		if !means[of] {
			return nil, term.Synonyms{}, fmt.Errorf("%s of %s: no note has %s %s, of which it is said %q", s.Kind, s.Speaker, s.ID, s.Result, s.Text)
		}
		if s.Kind == speech.Absent {
			of.Says = hear.AbsentSaid
		}
		out = append(out, lesson{means: of, text: s.Text})
	}
	stories, err := speech.ReadStories(speech.Files)
	if err != nil {
		return nil, term.Synonyms{}, err
	}
	for _, s := range stories {
		if slices.Contains(without, s.Speaker) {
			continue
		}
		told, err := parts(s, means)
		if err != nil {
			return nil, term.Synonyms{}, err
		}
		out = append(out, told...)
	}
	return out, term.SynonymsOf(read.Notes), nil
}
