package hear

import (
	"context"
	"strings"

	"kg/internal/library"
)

// understand reads a text: codes first, then every part of it for dangers, then
// what it says, as one thing or as several, whichever is heard more clearly.
func (e *ear) understand(ctx context.Context, text string, appliance *library.Scope, s *screen) (understanding, error) {
	text, codes, remarks, err := e.codes(text, appliance)
	if err != nil {
		return understanding{}, err
	}
	out := understanding{findings: codes, remarks: remarks}
	var windows [][]window
	if strings.TrimSpace(text) != "" {
		if windows, err = e.windows(text); err != nil {
			return understanding{}, err
		}
	}
	if err := s.all(ctx, codes, windows); err != nil {
		return understanding{}, err
	}
	for _, w := range clearest(windows) {
		if err := e.take(w, &out); err != nil {
			return understanding{}, err
		}
	}
	return out, e.fine(windows, &out)
}
