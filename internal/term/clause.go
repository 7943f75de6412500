package term

import (
	"regexp"
	"strings"
)

// Clause is a part of a description that says one thing.
type Clause struct {
	Text string
	// Fine says that the clause reports that something works.
	Fine bool
	// Subject is what is fine, without the words that say so.
	Subject string
}

var (
	clauseBreak = regexp.MustCompile(`(?i)[,;!?\n]+|\.(?:\s|$)|\b(?:but|however|although|though|whereas|yet|and)\b`)
	spokenWord  = regexp.MustCompile(`[\p{L}\p{N}'’.-]+`)
)

// fineWords say that something works; conditional words take that back, since
// "fine when the tap is turned down" is about the fault.
var (
	fineWords = set("fine ok okay okey works working work worked normal normally good alright great lovely brilliant perfect perfectly healthy correct correctly well")
	unlessSet = set("when if after until unless only once then while except sometimes until till stops stopped")
	emptyOf   = set("everything all else other others rest always still now usually otherwise seems looks as usual")
)

// maxClauses bounds how much of a long text is taken apart.
const maxClauses = 12

// Clauses takes a description apart at commas, full stops and the words that
// join clauses.
func Clauses(text string) []Clause {
	var out []Clause
	for _, part := range parts(text) {
		part = strings.TrimSpace(part)
		if part == "" {
			continue
		}
		out = append(out, clause(part))
		if len(out) == maxClauses {
			break
		}
	}
	return out
}

// parts splits a text at all clause breaks but the comma of "1,5 bar".
func parts(text string) []string {
	var out []string
	from := 0
	for _, at := range clauseBreak.FindAllStringIndex(text, -1) {
		if text[at[0]:at[1]] == "," && isDigit(text, at[0]-1) && isDigit(text, at[1]) {
			continue
		}
		out = append(out, text[from:at[0]])
		from = at[1]
	}
	return append(out, text[from:])
}

func isDigit(text string, i int) bool {
	return i >= 0 && i < len(text) && text[i] >= '0' && text[i] <= '9'
}

func clause(text string) Clause {
	c := Clause{Text: text}
	var subject []string
	before := ""
	for _, word := range spokenWord.FindAllString(text, -1) {
		w := strings.Trim(Fold(word), ".-")
		as := before == "as" && w == "well" || before == "a" && w == "good" // "leaks as well", "a good hour"
		before = w
		switch {
		case as:
		case negatives[w] || unlessSet[w]:
			return Clause{Text: text}
		case fineWords[w]:
			c.Fine = true
		case !emptyOf[w]:
			subject = append(subject, word)
		}
	}
	if !c.Fine || len(Tokens(strings.Join(subject, " "))) == 0 {
		return Clause{Text: text}
	}
	c.Subject = strings.Join(subject, " ")
	return c
}
