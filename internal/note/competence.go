package note

import "strings"

// Competence is one thing that somebody may do by trade or by law. Which law asks for
// it differs by country; local rules decide.
type Competence string

const (
	Householder         Competence = "householder"
	Apprentice          Competence = "apprentice"
	HeatingEngineer     Competence = "heating engineer"
	Electrician         Competence = "electrician"          // mains wiring
	GasLicensed         Competence = "gas-licensed"         // gas, and the air and flue of what burns it
	OilQualified        Competence = "oil-qualified"        // oil burners, their controls, lines, tanks, air and flue
	UnventedQualified   Competence = "unvented-qualified"   // what guards a store of hot water under pressure
	RefrigerantLicensed Competence = "refrigerant-licensed" // the circuit of a heat pump
)

// Competences returns the valid ones.
func Competences() []Competence {
	return []Competence{Householder, Apprentice, HeatingEngineer, Electrician, GasLicensed, OilQualified, UnventedQualified, RefrigerantLicensed}
}

// CompetenceOf reads a competence, whether its words stand apart or are joined by
// hyphens; the first of them will do: "gas-licensed", "gas licensed" and "gas" are the
// same.
func CompetenceOf(s string) (Competence, bool) {
	words := func(s string) string {
		return strings.ToLower(strings.Join(strings.Fields(strings.ReplaceAll(s, "-", " ")), " "))
	}
	for _, c := range Competences() {
		whole := words(string(c))
		first, _, _ := strings.Cut(whole, " ")
		if got := words(s); got == whole || got == first {
			return c, true
		}
	}
	return "", false
}

// Covers reports whether someone of a competence may do what needs another one.
// Whoever has one for gas, oil, refrigerant or unvented stores is taken for a heating
// engineer too, an electrician is not.
func (c Competence) Covers(other Competence) bool {
	switch other {
	case c, Householder:
		return true
	case Apprentice:
		return c != Householder
	case HeatingEngineer:
		return c != Householder && c != Apprentice && c != Electrician
	}
	return false
}

// Preparation is a state of the appliance that several tests or remedies can
// share, so that it has to be brought about once.
type Preparation string

const (
	CaseOff   Preparation = "case-off"
	SupplyOff Preparation = "supply-off"
	GasOff    Preparation = "gas-off"
	WaterOff  Preparation = "water-off"
	Drained   Preparation = "drained"
	Cold      Preparation = "cold"
	Running   Preparation = "running"
	Reset     Preparation = "reset" // a lockout is reset, once
)

// Preparations returns the valid values of the `prepare` field.
func Preparations() []Preparation {
	return []Preparation{CaseOff, SupplyOff, GasOff, WaterOff, Drained, Cold, Running, Reset}
}

// Effect is something that a piece of work does and that a danger may forbid.
type Effect string

const (
	Lights    Effect = "lights"    // a burner, fire or flame is lit, or let light
	Runs      Effect = "runs"      // the appliance, or a fan, pump or compressor of it, is made to run
	Heats     Effect = "heats"     // heat is put into water or a store
	Energises Effect = "energises" // current or a test voltage is put on, or a switch is worked
	Opens     Effect = "opens"     // gas, fuel, refrigerant or water under pressure is let out, or a way for it opened
)

// Effects returns the valid values of the `does` field.
func Effects() []Effect { return []Effect{Lights, Runs, Heats, Energises, Opens} }
