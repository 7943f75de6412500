package present

import "fmt"

// Build is what a program was built from.
type Build struct {
	Version string
	Commit  string // empty where the build has not noted it
	Date    string // of the commit, which the notes that come with the program are of
	Changed bool   // it held changes that were not committed
	System  string
	Go      string
}

// Version prints what the program was built from.
func (g *Page) Version(b Build) {
	g.Text(0, fmt.Sprintf("kg %s, %s, %s", b.Version, b.System, b.Go))
	if b.Commit != "" {
		changed := ""
		if b.Changed {
			changed = ", with changes"
		}
		g.Text(0, fmt.Sprintf("commit %s of %s%s; the notes that come with it are of that day", b.Commit, b.Date, changed))
	}
}
