package job

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"kg/internal/advise"
	"kg/internal/note"
	"kg/internal/place"
)

// The form of a job file. Its first lines are a heading, the others entries:
//
//	kg job, format 1
//	appliance skerry-c24
//	given frost old
//	worked-on pump
//	2026-11-25T08:00:00Z said "no hot water but heating is fine"
//	2026-11-25T08:12:00Z tested test-flow-sensor "reads zero with good flow"
//	2026-11-25T08:30:00Z read test-sensor-resistance "10.4k at=24C"
//	2026-11-25T08:40:00Z did replace-flow-sensor, did not help
//	2026-11-25T08:41:00Z undone
//
// Empty lines and those that begin with # are for people.
const heading = "kg job, format 1"

const (
	helped       = "helped"
	didNotHelp   = "did not help"
	applianceKey = "appliance "
	givenKey     = "given "
	workedOnKey  = "worked-on "
)

// kinds are all kinds of entries, for messages.
var kinds = strings.Join([]string{string(Said), string(Tested), string(Read), string(Did), string(Safe), string(Means), string(Not), string(Undone)}, ", ")

// line is an entry as it stands in the file.
func (e Entry) line() string {
	out := e.At.UTC().Format(time.RFC3339) + " " + string(e.Kind)
	switch e.Kind {
	case Said, Safe:
		out += " " + strconv.Quote(e.Words)
	case Tested, Read:
		out += " " + string(e.Of) + " " + strconv.Quote(e.Result)
	case Means, Not:
		for _, id := range e.These {
			out += " " + string(id)
		}
	case Did:
		if e.Helped {
			out += " " + string(e.Of) + ", " + helped
		} else {
			out += " " + string(e.Of) + ", " + didNotHelp
		}
	}
	return out
}

// parse reads a job. What cannot be read is left out and reported.
func parse(file string, text string) (Job, []place.Problem) {
	var j Job
	var problems []place.Problem
	headed := false
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSuffix(line, "\r")
		report := func(column int, format string, args ...any) {
			problems = append(problems, place.Problemf(place.Pos{File: file, Line: i + 1, Column: column}, "", format, args...))
		}
		switch {
		case strings.TrimSpace(line) == "" || strings.HasPrefix(line, "#"):
		case !headed:
			headed = true
			if line != heading {
				report(1, "a job begins with the line %q", heading)
			}
		case strings.HasPrefix(line, applianceKey) && len(j.Entries) == 0:
			j.Appliance = note.ID(strings.TrimSpace(line[len(applianceKey):]))
		case strings.HasPrefix(line, givenKey) && len(j.Entries) == 0:
			for _, word := range strings.Fields(line[len(givenKey):]) {
				if !slices.Contains(note.Contexts(), note.Context(word)) {
					report(1, "%q is nothing that can be given", word)
					continue
				}
				j.Given = append(j.Given, note.Context(word))
			}
		case strings.HasPrefix(line, workedOnKey) && len(j.Entries) == 0:
			for _, word := range strings.Fields(line[len(workedOnKey):]) {
				j.WorkedOn = append(j.WorkedOn, note.ID(word))
			}
		default:
			e, column, err := parseEntry(line)
			if err != nil {
				report(column, "%v", err)
				continue
			}
			if j.Started.IsZero() {
				j.Started = e.At
			}
			j.Entries = append(j.Entries, e)
		}
	}
	if !headed {
		problems = append(problems, place.Problemf(place.Pos{File: file, Line: 1, Column: 1}, "", "the file is empty: a job begins with the line %q", heading))
	}
	return j, problems
}

// parseEntry reads a line; on an error it says at which column.
func parseEntry(line string) (Entry, int, error) {
	rest := line
	column := func() int { return utf8.RuneCountInString(line[:len(line)-len(rest)]) + 1 }
	word := func() string {
		w, after, _ := strings.Cut(strings.TrimLeft(rest, " \t"), " ")
		rest = after
		return w
	}
	var e Entry
	at := word()
	var err error
	if e.At, err = time.Parse(time.RFC3339, at); err != nil {
		return e, 1, fmt.Errorf("%q is not a time: write it like 2026-11-25T08:00:00Z", at)
	}
	here := column()
	switch e.Kind = Kind(word()); e.Kind {
	case Said, Safe:
		e.Words, err = quoted(rest)
	case Tested, Read:
		e.Of = note.ID(word())
		e.Result, err = quoted(rest)
	case Did:
		of, how, _ := strings.Cut(rest, ",")
		e.Of = note.ID(strings.TrimSpace(of))
		switch strings.TrimSpace(how) {
		case helped:
			e.Helped = true
		case didNotHelp:
		default:
			err = fmt.Errorf("%q does not say how it went: write `did REMEDY, %s` or `did REMEDY, %s`", rest, helped, didNotHelp)
		}
	case Means, Not:
		for _, id := range strings.Fields(rest) {
			e.These = append(e.These, note.ID(id))
		}
		if len(e.These) == 0 {
			err = fmt.Errorf("nothing is named: write `%s ID`", e.Kind)
		}
		for _, id := range e.These {
			if !id.Valid() {
				err = fmt.Errorf("%q is not a valid id", id)
			}
		}
	case Undone:
		if strings.TrimSpace(rest) != "" {
			err = fmt.Errorf("nothing comes after %q", Undone)
		}
	default:
		return e, here, fmt.Errorf("%q is not a kind of entry: one of %s", e.Kind, kinds)
	}
	if err != nil {
		return e, column(), err
	}
	if (e.Kind == Tested || e.Kind == Read || e.Kind == Did) && !e.Of.Valid() {
		return e, here, fmt.Errorf("%q is not a valid id", e.Of)
	}
	return e, 0, nil
}

func quoted(s string) (string, error) {
	s = strings.TrimSpace(s)
	out, err := strconv.Unquote(s)
	if err != nil || !strings.HasPrefix(s, `"`) {
		return "", fmt.Errorf("%s should stand in double quotes, and the line may be cut short", strconv.Quote(s))
	}
	return out, nil
}

// writeHeading begins a job file.
func writeHeading(w io.Writer, q advise.Question) error {
	text := heading + "\n"
	if q.Appliance != "" {
		text += applianceKey + string(q.Appliance) + "\n"
	}
	if len(q.Given) > 0 {
		text += givenKey + spaced(q.Given) + "\n"
	}
	if len(q.WorkedOn) > 0 {
		text += workedOnKey + spaced(q.WorkedOn) + "\n"
	}
	_, err := io.WriteString(w, text)
	return err
}

func spaced[T ~string](list []T) string {
	words := make([]string, len(list))
	for i, w := range list {
		words[i] = string(w)
	}
	return strings.Join(words, " ")
}
