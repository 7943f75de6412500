// Package synthetic makes large libraries for measuring: the shipped notes,
// copied under new ids until there are enough, with the links of a copy pointing
// into the same copy and some words of its text exchanged for invented ones.
// Nothing it makes is true.
package synthetic

import (
	"bytes"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"path"
	"regexp"
	"strings"
	"testing/fstest"
)

var idWord = regexp.MustCompile(`[a-z0-9]+(?:-[a-z0-9]+)+`)

// Notes returns a file system of at least n notes, in whole copies of those of a
// source, which stand unchanged among them. The same seed gives the same notes.
func Notes(source fs.FS, n int, seed uint64) (fstest.MapFS, error) {
	files, err := fs.Glob(source, "*/*.md")
	if err != nil {
		return nil, err
	}
	texts := make(map[string][]byte, len(files))
	ids := map[string]bool{}
	for _, f := range files {
		if texts[f], err = fs.ReadFile(source, f); err != nil {
			return nil, err
		}
		ids[strings.TrimSuffix(path.Base(f), ".md")] = true
	}
	out := fstest.MapFS{}
	for _, f := range files {
		out[f] = &fstest.MapFile{Data: texts[f]}
	}
	random := rand.New(rand.NewPCG(seed, 1))
	for copied := 1; len(out) < n; copied++ {
		for _, f := range files {
			if path.Dir(f) == "synonym" {
				continue
			}
			out[strings.TrimSuffix(f, ".md")+suffix(copied)+".md"] = &fstest.MapFile{Data: changed(texts[f], ids, copied, random)}
		}
	}
	return out, nil
}

func suffix(copied int) string { return fmt.Sprintf("-x%d", copied) }

// changed points the ids of a text into a copy and exchanges one word in eight of
// its names and prose.
func changed(text []byte, ids map[string]bool, copied int, random *rand.Rand) []byte {
	text = idWord.ReplaceAllFunc(text, func(id []byte) []byte {
		if ids[string(id)] {
			return append(bytes.Clone(id), suffix(copied)...)
		}
		return id
	})
	lines := strings.Split(string(text), "\n")
	for i, line := range lines {
		trimmed := strings.TrimSpace(line)
		switch {
		case strings.HasPrefix(line, "name: "):
			lines[i] = line + " " + invented(random)
		case strings.HasPrefix(trimmed, "- ") && strings.Contains(trimmed[2:], " ") && !strings.Contains(line, suffix(copied)) && !strings.ContainsAny(line, `:"'[{`):
			lines[i] = exchanged(line, random)
		}
	}
	return []byte(strings.Join(lines, "\n"))
}

func exchanged(line string, random *rand.Rand) string {
	words := strings.Split(line, " ")
	for i, w := range words {
		if len(w) > 3 && random.IntN(8) == 0 && strings.ToLower(w) == w {
			words[i] = invented(random)
		}
	}
	return strings.Join(words, " ")
}

// invented returns one of some ten thousand words that look like words.
func invented(random *rand.Rand) string {
	const consonants, vowels = "bdfgklmnprstvz", "aeiou"
	var b strings.Builder
	for range 2 + random.IntN(2) {
		b.WriteByte(consonants[random.IntN(len(consonants))])
		b.WriteByte(vowels[random.IntN(len(vowels))])
	}
	b.WriteByte(consonants[random.IntN(len(consonants))])
	return b.String()
}
