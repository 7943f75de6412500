// Package parts owns makers' parts: what a number means in any spelling, what it
// was replaced by, what may stand in for it and why not, and what is worth
// carrying on a van. It is pure: it reads from an io.Reader where it reads at
// all, knows no store, and runs in a browser.
//
// A part is known by its maker and its number. Everything that a part says of
// other parts is directed: that B replaces A, or may stand in for A, does not
// say that A may stand in for B.
package parts
