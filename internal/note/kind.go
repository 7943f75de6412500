package note

import "strings"

// Kind says what an entry is about. The folder of a note names its kind.
type Kind string

// The kinds of entry. The terms are those of ISO 14224 and IEC 60050-192 where
// these have one (component, failure mode, symptom), else the trade's.
const (
	KindAppliance Kind = "appliance"
	KindComponent Kind = "component"
	KindMode      Kind = "mode"
	KindSymptom   Kind = "symptom"
	KindTest      Kind = "test"
	KindRemedy    Kind = "remedy"
	KindPart      Kind = "part"
	KindCaveat    Kind = "caveat"
	KindJob       Kind = "job"
	KindRemark    Kind = "remark"
	KindSynonym   Kind = "synonym"
)

// Kinds returns every kind, in the order in which a reader meets them.
func Kinds() []Kind {
	return []Kind{
		KindAppliance, KindComponent, KindMode, KindSymptom, KindTest, KindRemedy,
		KindPart, KindCaveat, KindJob, KindRemark, KindSynonym,
	}
}

// Plural returns the kind as it reads in "12 remedies".
func (k Kind) Plural() string {
	if stem, ok := strings.CutSuffix(string(k), "y"); ok {
		return stem + "ies"
	}
	return string(k) + "s"
}

// WithArticle returns the kind as it reads in "a mode" and "an appliance".
func (k Kind) WithArticle() string {
	if strings.ContainsAny(string(k[:min(1, len(k))]), "aeiou") {
		return "an " + string(k)
	}
	return "a " + string(k)
}

// ParseKind reads a kind in singular or plural, in any case.
func ParseKind(s string) (Kind, bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	for _, k := range Kinds() {
		if s == string(k) || s == k.Plural() {
			return k, true
		}
	}
	return "", false
}
