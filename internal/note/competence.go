package note

import "strings"

// Competence says who may do a piece of work. It is the least that is needed;
// local rules decide.
type Competence string

const (
	Householder         Competence = "householder"
	Apprentice          Competence = "apprentice"
	HeatingEngineer     Competence = "heating engineer"
	Electrician         Competence = "electrician"
	GasLicensed         Competence = "gas-licensed"
	RefrigerantLicensed Competence = "refrigerant-licensed"
)

// Competences returns the valid values of the `who` field.
func Competences() []Competence {
	return []Competence{Householder, Apprentice, HeatingEngineer, Electrician, GasLicensed, RefrigerantLicensed}
}

// CompetenceOf reads a competence, whether its words stand apart or are joined by
// hyphens: "heating engineer" and "heating-engineer" are the same.
func CompetenceOf(s string) (Competence, bool) {
	for _, c := range Competences() {
		if strings.ReplaceAll(s, " ", "-") == strings.ReplaceAll(string(c), " ", "-") {
			return c, true
		}
	}
	return "", false
}

// Licensed reports whether a competence is one that a licence is given for.
func (c Competence) Licensed() bool {
	return c == GasLicensed || c == RefrigerantLicensed || c == Electrician
}

// Covers reports whether someone of a competence may do a piece of work that
// needs another one. Whoever is licensed for gas or refrigerant is taken for a
// heating engineer too, an electrician is not. Local rules decide.
func (c Competence) Covers(work Competence) bool {
	switch work {
	case c, Householder:
		return true
	case Apprentice:
		return c != Householder
	case HeatingEngineer:
		return c == GasLicensed || c == RefrigerantLicensed
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
