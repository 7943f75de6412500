// Package answering prints answers to be compared, for the programs that are run on
// several processors and in the browser.
package answering

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"os"

	"kg/internal/advise"
	"kg/internal/diagnose/plan"
	"kg/internal/library"
)

// Print prints what a library answers to the questions in a file, one a line, as JSON.
// Next steps are thought about less than usual, since it is not their quality that is
// looked at.
func Print(ctx context.Context, lib *library.Library, questions string, w io.Writer) error {
	asked, err := os.ReadFile(questions)
	if err != nil {
		return err
	}
	out := bufio.NewWriter(w)
	encoder := json.NewEncoder(out)
	for words := range bytes.Lines(asked) {
		a, err := advise.Ask(ctx, lib, advise.Question{Text: string(bytes.TrimSpace(words)), Work: plan.DefaultWork / 20})
		if err != nil {
			return err
		}
		if err := encoder.Encode(a); err != nil {
			return err
		}
	}
	return out.Flush()
}
