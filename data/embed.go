// Package data owns the notes that are shipped inside the program.
package data

import "embed"

// Notes holds one folder a kind, one note a file.
//
//go:embed */*.md
var Notes embed.FS
