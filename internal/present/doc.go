// Package present owns what is printed: answers as text for a terminal, sheets
// drawn for paper, and the shapes of the JSON that other programs read. It knows
// no store, no clock and no terminal: it is handed what is to be said, and a
// writer to say it to, so that it says the same wherever it runs.
package present
