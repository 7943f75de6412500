package speech

import (
	"errors"
	"io/fs"
	"strings"
)

// Story is what somebody tells, in the pieces that say one thing or nothing. Strung
// together with blanks they are the story.
type Story struct {
	Speaker string
	Pieces  []Piece
}

// Piece is a part of a story.
type Piece struct {
	ID     string // of the symptom that is told of; Nothing for none
	Absent bool   // it is told not to be there
	Text   string
}

// ReadStories reads all stories, by speaker.
func ReadStories(files fs.FS) ([]Story, error) {
	var out []Story
	var last string // speaker and number of the story before
	err := rows(files, func(w where, row []string) error {
		if w.kind != Stories {
			return nil
		}
		p := Piece{ID: Nothing, Text: row[2]}
		if row[1] != Nothing {
			id, there := strings.CutPrefix(row[1], "+")
			absent := false
			if !there {
				id, absent = strings.CutPrefix(row[1], "-")
			}
			if !there && !absent {
				return errors.New("a piece is of `+SYMPTOM`, `-SYMPTOM` or " + Nothing)
			}
			p.ID, p.Absent = id, absent
		}
		if of := w.speaker + " " + row[0]; of != last || len(out) == 0 {
			out, last = append(out, Story{Speaker: w.speaker}), of
		}
		s := &out[len(out)-1]
		s.Pieces = append(s.Pieces, p)
		return nil
	})
	return out, err
}
