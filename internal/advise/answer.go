package advise

import (
	"kg/internal/catalogue"
	"kg/internal/cost"
	"kg/internal/diagnose"
	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/note"
)

// Answer is what `kg ask` says, in the order of importance. Its JSON form is
// part of the program's interface.
type Answer struct {
	Query     string       `json:"query"`
	Appliance note.ID      `json:"appliance"`
	Stop      *hear.Danger `json:"stop,omitempty"`
	Findings  []Found      `json:"findings"`
	// Tested, Read and Mended are what a job has found, measured and done in vain so
	// far.
	Tested  []TestedBefore `json:"tested,omitempty"`
	Read    []Judged       `json:"read,omitempty"`
	Mended  []MendedBefore `json:"mended,omitempty"`
	Remarks []string       `json:"remarks,omitempty"`
	Causes  []Cause        `json:"causes"`
	// Other is the probability of something that the notes do not know.
	Other float64 `json:"other,omitempty"`
	// Conflicts are findings that do not go with the rest.
	Conflicts []Conflict `json:"conflicts,omitempty"`
	// Estimate is set when the probabilities could only be estimated.
	Estimate *Estimate `json:"estimate,omitempty"`
	Next     *Next     `json:"next,omitempty"`
	// Proof is set while a danger that was made safe is not yet proved gone, or was
	// shown to be there still.
	Proof   *Proof          `json:"proof,omitempty"`
	Caveats []library.Alert `json:"caveats"`
	// Field is what the team or others have remarked about what was seen and about
	// the appliance.
	Field []FieldRemark `json:"field,omitempty"`
	// Near is what the words may mean, when nothing was found: with next.kind "ask"
	// as a question, else only as what is somewhat like them.
	Near []hear.Sense `json:"near,omitempty"`
}

// TestedBefore is what a test has found.
type TestedBefore struct {
	Test   note.ID `json:"test"`
	Name   string  `json:"name"`
	Result string  `json:"result"`
}

// MendedBefore is a remedy that did not help.
type MendedBefore struct {
	Remedy note.ID `json:"remedy"`
	Name   string  `json:"name"`
}

// Conflict is a finding that does not go with the rest: together they are 2 to
// the power of Bits times rarer than if they had nothing to do with each other. With is
// the one of the others that it goes with least.
type Conflict struct {
	Finding string  `json:"finding"`
	Bits    float64 `json:"bits"`
	With    string  `json:"with"`
}

// Estimate says why probabilities were estimated, and how far off they may be
// (the largest standard error).
type Estimate struct {
	Variables int     `json:"variables"` // that exactness would look at together
	Bytes     int64   `json:"bytes"`     // memory that it would take
	Error     float64 `json:"error"`
}

func (a *Answer) believe(b diagnose.Beliefs) {
	a.Other = b.Other
	for _, c := range b.Conflicts {
		a.Conflicts = append(a.Conflicts, Conflict{c.Label, c.Bits, c.With})
	}
	if e := b.Approximate; e != nil {
		a.Estimate = &Estimate{Variables: e.Width, Bytes: e.Bytes, Error: e.Error}
	}
}

// Found is one thing that was understood.
type Found struct {
	Symptom note.ID      `json:"symptom"`
	Name    string       `json:"name"`
	Present bool         `json:"present"`
	Score   float64      `json:"score"`
	Text    string       `json:"text"`
	Code    string       `json:"code,omitempty"`
	Others  []hear.Sense `json:"senses,omitempty"` // all senses, when in doubt
	Doubt   bool         `json:"doubt,omitempty"`
	// Words are how much each word speaks for it, where that was asked for.
	Words []Word `json:"words,omitempty"`
}

// Word is how much a word speaks for what was heard.
type Word = hear.Word

// Cause is one failure mode with all that follows from it.
type Cause struct {
	Mode          note.ID               `json:"mode"`
	Name          string                `json:"name"`
	Component     note.ID               `json:"component"`
	ComponentName string                `json:"component_name"`
	Probability   float64               `json:"probability"`
	Prior         float64               `json:"prior"`
	Path          []Step                `json:"path"`
	Weights       []Weight              `json:"weights"`
	Tests         []TestMethod          `json:"tests"`
	StopGap       *RemedyRef            `json:"stop_gap,omitempty"`
	Repair        *RemedyRef            `json:"repair,omitempty"`
	PartTypes     []catalogue.PartType  `json:"part_types,omitempty"`
	Parts         []catalogue.TodayPart `json:"parts,omitempty"`
	// MoreParts is how many others there are: name the appliance to have its own.
	MoreParts int           `json:"more_parts,omitempty"`
	LeadsTo   []Consequence `json:"leads_to,omitempty"`
	IfLeft    string        `json:"if_left,omitempty"`
	// MayComeFrom are modes that bring this one about.
	MayComeFrom []Consequence   `json:"may_come_from,omitempty"`
	Field       []FieldRemark   `json:"field,omitempty"`
	Caveats     []library.Alert `json:"caveats,omitempty"`
	Notes       []string        `json:"notes"`
}

// Step is one link of the chain from symptom to component type.
type Step struct {
	From note.ID `json:"from"`
	Link string  `json:"link"`
	To   note.ID `json:"to"`
	// Figure is the strength of the link.
	Figure   float64 `json:"figure,omitempty"`
	FromName string  `json:"from_name"`
	Name     string  `json:"to_name"`
}

// Weight is the weight of evidence of one finding, in decibans.
type Weight struct {
	Finding  string  `json:"finding"`
	Decibans float64 `json:"decibans"`
}

// TestMethod is a test that would settle a cause.
type TestMethod struct {
	Test      note.ID  `json:"test"`
	Name      string   `json:"name"`
	Minutes   int      `json:"minutes"`
	Who       note.Who `json:"who"`
	Isolation string   `json:"isolation,omitempty"`
	Steps     []string `json:"steps,omitempty"`
	// For and Against are the results that speak for the cause, and against it.
	For     []string `json:"for,omitempty"`
	Against []string `json:"against,omitempty"`
	// Bars are the dangers for which it is not to be done yet.
	Bars []Bar `json:"bars,omitempty"`
}

// RemedyRef is a repair or a stop-gap.
type RemedyRef struct {
	Remedy  note.ID   `json:"remedy"`
	Name    string    `json:"name"`
	Minutes int       `json:"minutes,omitempty"`
	Who     note.Who  `json:"who,omitzero"`
	Steps   []string  `json:"steps,omitempty"`
	Checks  []string  `json:"checks,omitempty"`
	Limits  []string  `json:"limits,omitempty"`
	Uses    []note.ID `json:"uses,omitempty"`
	Bars    []Bar     `json:"bars,omitempty"` // as of a test
}

// FieldRemark is something learned that is worth knowing.
type FieldRemark struct {
	ID   note.ID `json:"id"`
	Name string  `json:"name"`
	Text string  `json:"text"`
	Note string  `json:"note"`
}

// Consequence is a mode that a cause brings about if it is left, or one that
// brings it about, with the strength of the link.
type Consequence struct {
	Mode        note.ID `json:"mode"`
	Name        string  `json:"name"`
	Probability float64 `json:"probability"`
}

// Next is the best step now.
type Next struct {
	Kind StepKind `json:"kind"` // test, repair, call or stop
	ID   note.ID  `json:"id"`
	Name string   `json:"name"`
	Why  string   `json:"why"`
	// Minutes is what the step itself takes.
	Minutes int `json:"minutes,omitempty"`
	// ExpectedMinutes is what it is expected to cost from here until the appliance
	// works, with parts and a price on risk, all in minutes of paid work.
	ExpectedMinutes float64 `json:"expected_minutes"`
	// LeastMinutes is what no way of working can do it for.
	LeastMinutes float64 `json:"least_minutes"`
	// Costs are what this assumes about work and being wrong.
	Costs []cost.Item `json:"costs,omitempty"`

	Who note.Who `json:"who,omitzero"`
	// First is what gets the appliance to be as the step needs it, where it is not.
	First     []note.Preparation `json:"first,omitempty"`
	Isolation string             `json:"isolation,omitempty"`
	Steps     []string           `json:"steps,omitempty"`
	Checks    []string           `json:"checks,omitempty"`
	Results   []NextResult       `json:"results,omitempty"`
	// Caveats are those of the step itself.
	Caveats []library.Alert `json:"caveats,omitempty"`
	// Instead are the next best steps.
	Instead []Alternative `json:"instead,omitempty"`
	// Licensed is what would be next for someone who may do more.
	Licensed *Alternative `json:"licensed,omitempty"`
}

// Alternative is another step that could be next.
type Alternative struct {
	Kind            StepKind `json:"kind"`
	ID              note.ID  `json:"id,omitempty"`
	Name            string   `json:"name"`
	Who             note.Who `json:"who,omitzero"`
	ExpectedMinutes float64  `json:"expected_minutes"`
}

// NextResult is what one result of the next test would make of the causes.
type NextResult struct {
	Name  string `json:"name"`
	Means string `json:"means,omitempty"`
	// Likely is how likely this result is.
	Likely float64 `json:"likely"`
	// First is the cause that would then be the likeliest, with its name and
	// probability.
	First       note.ID `json:"first,omitempty"`
	FirstName   string  `json:"first_name,omitempty"`
	Probability float64 `json:"probability,omitempty"`
}
