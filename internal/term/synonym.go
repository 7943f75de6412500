package term

import (
	"fmt"
	"strings"

	"github.com/go-json-experiment/json"

	"kg/internal/note"
)

// Synonyms rewrites words and phrases to the one that stands for their set. It
// is applied to notes and questions alike, so that both meet on the same terms.
type Synonyms struct {
	// rewrite maps a phrase, as terms joined by spaces, to its replacement.
	rewrite map[string][]string
	longest int
}

// NewSynonyms compiles the sets of some notes. Where a phrase stands in two sets
// the first counts.
func NewSynonyms(sets []*note.Synonym) Synonyms {
	s := Synonyms{rewrite: map[string][]string{}}
	for _, set := range sets {
		if len(set.Words) == 0 {
			continue
		}
		head := List(Tokens(set.Words[0]))
		if len(head) == 0 {
			continue
		}
		for _, w := range set.Words[1:] {
			s.add(List(Tokens(w)), head)
		}
	}
	return s
}

// SynonymsOf compiles the sets among some notes.
func SynonymsOf(notes []*note.Note) Synonyms {
	var sets []*note.Synonym
	for _, n := range notes {
		if s, ok := n.Entry.(*note.Synonym); ok {
			sets = append(sets, s)
		}
	}
	return NewSynonyms(sets)
}

func (s *Synonyms) add(phrase, head []string) {
	key := strings.Join(phrase, " ")
	if _, taken := s.rewrite[key]; taken || len(phrase) == 0 || key == strings.Join(head, " ") {
		return
	}
	s.rewrite[key] = head
	s.longest = max(s.longest, len(phrase))
}

// Apply rewrites tokens, the longest phrase first. Each token of a replacement
// stands for the whole of the words replaced.
func (s Synonyms) Apply(tokens []Token) []Token {
	if len(s.rewrite) == 0 {
		return tokens
	}
	out := make([]Token, 0, len(tokens))
	for i := 0; i < len(tokens); {
		n := min(s.longest, len(tokens)-i)
		for ; n > 0; n-- {
			if head, ok := s.rewrite[strings.Join(List(tokens[i:i+n]), " ")]; ok {
				for _, term := range head {
					out = append(out, Token{term, tokens[i].Start, tokens[i+n-1].End})
				}
				break
			}
		}
		if n == 0 {
			out = append(out, tokens[i])
			n = 1
		}
		i += n
	}
	return out
}

// Encode and DecodeSynonyms keep the compiled sets with the library, so that
// questions are read as the notes were.
func (s Synonyms) Encode() ([]byte, error) {
	return json.Marshal(s.rewrite, json.Deterministic(true))
}

// DecodeSynonyms reads what Encode has made.
func DecodeSynonyms(text []byte) (Synonyms, error) {
	s := Synonyms{}
	if err := json.Unmarshal(text, &s.rewrite); err != nil {
		return s, fmt.Errorf("reading the synonyms of the library: %w", err)
	}
	for phrase := range s.rewrite {
		s.longest = max(s.longest, 1+strings.Count(phrase, " "))
	}
	return s, nil
}

// Read takes a text apart as the notes of a library were.
func (s Synonyms) Read(text string) []Token { return s.Apply(Tokens(text)) }
