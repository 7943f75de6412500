// Package data owns the notes that are shipped inside the program.
package data

import "embed"

// Notes holds one folder a kind, one note a file; in the folder catalogue, the
// lists of parts.
//
//go:embed */*.md catalogue/*.csv
var Notes embed.FS
