// Package pack owns the way from notes to a library in memory.
package pack

import (
	"context"

	"kg/internal/ingest"
	"kg/internal/library/bundle"
	"kg/internal/lint"
)

// Notes makes a library of the sources in memory, as one bundle. Broken notes are left
// out, as in ingest.Build.
func Notes(ctx context.Context, sources []ingest.Source) (bundle.Bundle, lint.Verdict, error) {
	verdict, _, err := ingest.Review(ctx, sources)
	if err != nil {
		return bundle.Bundle{}, verdict, err
	}
	edges, rates, _ := ingest.Figures(verdict.Kept)
	b, err := bundle.Pack(ctx, bundle.Content{Records: ingest.Records(verdict), Notes: verdict.Kept, Parts: verdict.Parts, Edges: edges, Rates: rates})
	return b, verdict, err
}
