// Package note owns what engineers write: the domain types (Mode, Symptom,
// Test ...), the Markdown-with-front-matter format they are written in, and the
// position of every value in its file, so that each complaint can point at a
// line and a column.
//
// The format is described field by field in docs/notes.md. The package reads
// and prints single notes; rules that need more than one note live in
// internal/lint. It imports nothing else of this module.
package note
