package note

import (
	"regexp"
	"strings"

	"go.yaml.in/yaml/v3"
)

// largest is how many slots of a van a part takes at the most.
const largest = 1_000

var serialRange = regexp.MustCompile(`^[0-9A-Za-z -]*\.\.[0-9A-Za-z -]*$`)

// serials reads a range of serial numbers.
func serials(to *string) reader {
	return func(d *decoder, n *yaml.Node) {
		s, ok := d.scalar(n)
		if !ok {
			return
		}
		if !serialRange.MatchString(s) || strings.Trim(s, ". -") == "" {
			d.fail(n, "bad-serials", "%q is not a range of serial numbers: write it like 1000..1999, 1000.. or ..1999", s)
			return
		}
		*to = s
	}
}

// interchange reads claims: the part that may stand in, and what is said of it.
func interchange(to *[]Interchange) reader {
	return func(d *decoder, n *yaml.Node) {
		d.pairs(n, func(k, v *yaml.Node) {
			with, ok := d.id(k, []Kind{KindPart})
			claim := Interchange{With: with}
			graded := false
			d.pairs(v, func(k, v *yaml.Node) {
				switch k.Value {
				case "grade":
					claim.Grade, graded = choice(d, v, Grades())
				case "source":
					claim.Source, _ = d.scalar(v)
				case "needs":
					claim.Needs, _ = d.scalar(v)
				case "both-ways":
					claim.BothWays = yes(d, v)
				case "approved":
					claim.Approved = yes(d, v)
				default:
					d.unknownKey(k, []string{"grade", "source", "needs", "both-ways", "approved"})
				}
			})
			if !graded {
				d.fail(k, "missing-grade", "the claim needs a grade, one of %s: write it like {grade: %s, source: who says so}", Choices(Grades()), WithAdapter)
			}
			if ok {
				*to = append(*to, claim)
			}
		})
	}
}

func yes(d *decoder, n *yaml.Node) bool {
	s, _ := choice(d, n, []string{"yes", "no", "true", "false"})
	return s == "yes" || s == "true"
}
