package catalogue

import (
	"context"

	"kg/internal/library"
	"kg/internal/parts"
)

// MatchAnswer is what `kg part match` says.
type MatchAnswer struct {
	Of      PartFound `json:"of"`
	Matches []Instead `json:"matches"`
	// Looked is how many parts of the type were compared.
	Looked int `json:"looked"`
}

// MatchPart ranks parts of the same type by how far their attributes are from
// those of one.
func MatchPart(ctx context.Context, lib *library.Library, number string, most int) (MatchAnswer, error) {
	var a MatchAnswer
	l := shelf{lib}
	of, err := l.onePart(number)
	if err != nil {
		return a, err
	}
	if a.Of, err = l.partFound(of, nil, ""); err != nil {
		return a, err
	}
	ids, err := l.OfType(of.Type, "")
	if err != nil {
		return a, err
	}
	var candidates []*parts.Part
	for _, id := range ids {
		p, err := l.Part(id)
		if err != nil {
			return a, err
		}
		if p != nil {
			candidates = append(candidates, p)
		}
	}
	a.Looked = len(candidates)
	a.Matches = []Instead{}
	for _, s := range parts.Match(of, candidates, most) {
		a.Matches = append(a.Matches, instead(s))
	}
	return a, ctx.Err()
}
