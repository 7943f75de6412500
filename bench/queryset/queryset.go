// Package queryset reads lists of queries with what they should find.
//
// A line is QUERY, K and PATTERN, parted by tabs. It holds when PATTERN (RE2, any
// case) matches "component name: cause name" of one of the first K causes. Empty
// lines and lines that begin with # are passed over.
package queryset

import (
	"bufio"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"

	"kg/internal/advise"
)

// Query is one line of a list.
type Query struct {
	Text    string
	K       int
	Pattern *regexp.Regexp
}

// Read reads a list; an error names file and line.
func Read(file string) ([]Query, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var out []Query
	s := bufio.NewScanner(f)
	for n := 1; s.Scan(); n++ {
		if text := s.Text(); text == "" || strings.HasPrefix(text, "#") {
			continue
		}
		parts := strings.Split(s.Text(), "\t")
		if len(parts) != 3 {
			return nil, fmt.Errorf("%s:%d: want QUERY, K and PATTERN parted by tabs", file, n)
		}
		k, err := strconv.Atoi(parts[1])
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", file, n, err)
		}
		p, err := regexp.Compile("(?i)" + parts[2])
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", file, n, err)
		}
		out = append(out, Query{parts[0], k, p})
	}
	return out, s.Err()
}

// Rank is the place of the first cause that matches, 0 if none does.
func (q Query) Rank(causes []string) int {
	for i, c := range causes {
		if q.Pattern.MatchString(c) {
			return i + 1
		}
	}
	return 0
}

// Labels returns the causes of an answer as they are matched.
func Labels(a advise.Answer) []string {
	out := make([]string, len(a.Causes))
	for i, c := range a.Causes {
		out[i] = c.ComponentName + ": " + c.Name
	}
	return out
}
