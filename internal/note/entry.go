package note

import (
	"slices"

	"kg/internal/signal"
)

// Entry is what one note says; its concrete type is one of *Appliance,
// *Component, *Mode, *Symptom, *Test, *Remedy, *Part, *Caveat, *Job, *Remark and
// *Synonym.
type Entry interface {
	Head() *Header
}

// Header is what every entry has.
type Header struct {
	Kind    Kind     `json:"kind"`
	ID      ID       `json:"id"`
	Name    string   `json:"name"`
	Also    []string `json:"also,omitempty"`
	Caveats []ID     `json:"caveats,omitempty"`
	Source  string   `json:"source,omitempty"`
	Body    string   `json:"body,omitempty"`
}

// Head returns the header itself; embedding it makes a struct an Entry.
func (h *Header) Head() *Header { return h }

// Link points at another entry with a figure.
type Link struct {
	To     ID         `json:"to"`
	Figure Likelihood `json:"figure"`
}

// Appliance is a family of appliances or one maker's appliance.
type Appliance struct {
	Header
	Maker string `json:"maker,omitempty"`
	IsA   []ID   `json:"is_a,omitempty"`
	Has   []ID   `json:"has,omitempty"`
	// MayHave are components that not all such appliances have, with the share that do.
	MayHave []Link `json:"may_have,omitempty"`
	Codes   []Code `json:"codes,omitempty"`
}

// Code is what an appliance displays, and the symptoms or modes it stands for.
type Code struct {
	Shown string `json:"shown"`
	Means []ID   `json:"means"`
}

// Component is a generic component type.
type Component struct {
	Header
	IsA []ID `json:"is_a,omitempty"`
	Has []ID `json:"has,omitempty"`
	// Fitted is how many of the systems that one is called to have it.
	Fitted Likelihood `json:"fitted,omitzero"`
	// Nominal is the data of the part that readings of it are judged by: keys of a
	// model of readings, like r25 and beta.
	Nominal map[string]string `json:"nominal,omitempty"`
	// Price is what a part of this type costs, in minutes of paid work, so that it
	// holds in any money; 0 where it is not said.
	Price int `json:"price,omitempty"`
	// Safety is what parts of this type, and of the types that are one, keep people
	// safe from. A note that stands in for another keeps it, see lint.
	Safety Safety `json:"safety,omitempty"`
	// Who may work on parts of this type, and of the types that are one, unless from
	// outside, and where that is somebody else. The zero value is anybody.
	Who   Who         `json:"who,omitzero"`
	WhoOn []Elsewhere `json:"who_on,omitempty"`
}

// Mode is a failure mode: the manner in which a component type fails or stops
// doing its job (IEC 60050-192-03-17).
type Mode struct {
	Header
	Component ID         `json:"component"`
	Occurs    Likelihood `json:"occurs,omitzero"`
	// Likelier is what contexts do to how often it is found.
	Likelier  []Factor `json:"likelier,omitempty"`
	Shows     []Link   `json:"shows,omitempty"`
	LeadsTo   []Link   `json:"leads_to,omitempty"`
	IfLeft    string   `json:"if_left,omitempty"`
	SettledBy []ID     `json:"settled_by,omitempty"`
	Repair    []ID     `json:"repair,omitempty"`
	StopGap   []ID     `json:"stop_gap,omitempty"`
	On        []ID     `json:"on,omitempty"`
}

// Symptom is a perception, by a person or an instrument, that may indicate one
// or more faults (ISO 13372).
type Symptom struct {
	Header
	UsualCauses []Link   `json:"usual_causes,omitempty"`
	StopWork    []string `json:"stop_work,omitempty"`
	// ProvedGoneBy are the tests that prove the danger gone once it was made safe,
	// the one that fits most appliances first.
	ProvedGoneBy []ID `json:"proved_gone_by,omitempty"`
	// Implies are symptoms that are there whenever this one is.
	Implies []ID       `json:"implies,omitempty"`
	Leak    Likelihood `json:"leak,omitzero"`
	// While is what the appliance has to be for the symptom to say anything, Leaves
	// what it is, or is not, where the symptom is there.
	While  []Condition `json:"while,omitempty"`
	Leaves []Condition `json:"leaves,omitempty"`
}

// Work is what a test and a remedy have in common.
type Work struct {
	Steps     []string      `json:"steps,omitempty"`
	Minutes   int           `json:"minutes"`
	Who       Who           `json:"who"`
	WhoOn     []Elsewhere   `json:"who_on,omitempty"`
	Isolation string        `json:"isolation,omitempty"`
	Prepare   []Preparation `json:"prepare,omitempty"`
	// Needs is what the appliance has to be, or not to be, for this to be done at all.
	Needs []Condition `json:"needs,omitempty"`
	Tools []string    `json:"tools,omitempty"`
	// Does is what it does that a danger may forbid, NotWhen the symptoms that
	// forbid it: those that stop the work, until each is ruled out.
	Does    []Effect `json:"does,omitempty"`
	NotWhen []ID     `json:"not_when,omitempty"`
	// FromOutside is set where a part that only some may work on is left as it is:
	// looking, listening, feeling and measuring from outside, and what a household
	// works anyway. Then anybody may whom Who names.
	FromOutside bool `json:"from_outside,omitempty"`
}

// WhoOf is who may do it on an appliance of some families; with none, on any.
func (w Work) WhoOf(families []ID) Who { return WhoOn(w.Who, w.WhoOn, families) }

// Test is a test method.
type Test struct {
	Header
	Work
	Results []Result `json:"results,omitempty"`
	// Healthy are the names of the results with which all is well.
	Healthy []string `json:"healthy,omitempty"`
	Reading *Reading `json:"reading,omitempty"`
}

// FindsHealthy reports whether all is well with a result, by its name. A test that
// does not say which of its results are healthy has none.
func (t *Test) FindsHealthy(result string) bool {
	return slices.Contains(t.Healthy, result) || t.Reading != nil && result == t.Reading.Healthy
}

// Proves reports whether a test has a result that proves something gone.
func (t *Test) Proves() bool {
	return slices.ContainsFunc(t.Results, func(r Result) bool { return t.FindsHealthy(r.Name) })
}

// Reading says how a figure on a meter is judged: by which model, with which data
// unless others are known, and which result of the test each verdict stands for.
type Reading struct {
	Model string            `json:"model"`
	Of    ID                `json:"of,omitempty"` // the component whose nominal data is used
	Given map[string]string `json:"given,omitempty"`
	// Healthy, Open, Short and Off are names of results; Off is any figure beside
	// what a healthy part reads.
	Healthy string `json:"healthy"`
	Off     string `json:"off,omitempty"`
	Open    string `json:"open,omitempty"`
	Short   string `json:"short,omitempty"`
}

// Results are the results that verdicts stand for, by the verdicts' names.
func (r Reading) Results() map[string]string {
	return map[string]string{"healthy": r.Healthy, "off": r.Off, "open": r.Open, "short": r.Short}
}

// Result is one of the things that a test can find. SeenWith and Otherwise are
// probabilities of the result given the mode, and given none of the modes that
// the test names.
type Result struct {
	Name      string     `json:"name"`
	SeenWith  []Link     `json:"seen_with,omitempty"`
	Otherwise Likelihood `json:"otherwise,omitzero"`
	Means     string     `json:"means,omitempty"`
	Reads     string     `json:"reads,omitempty"`
	// SameAs are symptoms that are the same observation: whoever has said one of them
	// has told this result.
	SameAs []ID `json:"same_as,omitempty"`
	// Leaves is what the appliance is, or is not, with this result.
	Leaves []Condition `json:"leaves,omitempty"`
}

// Measure tells a repair from a stop-gap.
type Measure string

const (
	Repair  Measure = "repair"
	StopGap Measure = "stop-gap"
)

// Remedy is a repair or a stop-gap.
type Remedy struct {
	Header
	Work
	Measure Measure  `json:"remedy"`
	Uses    []ID     `json:"uses,omitempty"`
	Checks  []string `json:"checks,omitempty"`
	Limits  []string `json:"limits,omitempty"`
}

// Part is one maker's part.
type Part struct {
	Header
	Number           string            `json:"number"`
	Maker            string            `json:"maker"`
	Type             ID                `json:"type"`
	Attributes       map[string]string `json:"attributes,omitempty"`
	Fits             []ID              `json:"fits,omitempty"`
	Supersedes       []ID              `json:"supersedes,omitempty"`
	InterchangesWith []ID              `json:"interchanges_with,omitempty"`
	Status           Status            `json:"status,omitempty"`
	// Serials are the serial numbers of the appliances that it is for, as 1000..1999.
	Serials string `json:"serials,omitempty"`
	// Needs is what has to go in with it where it replaces an older number.
	Needs       []string      `json:"needs,omitempty"`
	Contains    []ID          `json:"contains,omitempty"` // what is in a kit
	Interchange []Interchange `json:"interchange,omitempty"`
	Safety      Safety        `json:"safety,omitempty"`
	// Price is in minutes of paid work, Space in slots of a van.
	Price int    `json:"price,omitempty"`
	Space int    `json:"space,omitempty"`
	Date  string `json:"date,omitempty"`
}

// Interchange is a claim that another part may stand in for one.
type Interchange struct {
	With     ID     `json:"with"`
	Grade    Grade  `json:"grade"`
	Source   string `json:"source,omitempty"`
	Needs    string `json:"needs,omitempty"`
	BothWays bool   `json:"both_ways,omitempty"`
	Approved bool   `json:"approved,omitempty"` // by the maker of the appliance
}

// Caveat is a hazard and how it is avoided.
type Caveat struct {
	Header
	Level     signal.Word `json:"level"`
	Text      string      `json:"text"`
	AppliesTo []ID        `json:"applies_to,omitempty"`
}

// Job is a closed call-out.
type Job struct {
	Header
	Appliance ID           `json:"appliance"`
	Date      string       `json:"date"`
	Words     string       `json:"words"`
	Symptoms  []ID         `json:"symptoms,omitempty"`
	Tests     []TestResult `json:"tests,omitempty"`
	Found     []ID         `json:"found,omitempty"`
	Did       []ID         `json:"did,omitempty"`
	Minutes   int          `json:"minutes,omitempty"`
	Who       string       `json:"who,omitempty"`
}

// TestResult is a test that was done on a job and the name of what it found.
type TestResult struct {
	Test   ID     `json:"test"`
	Result string `json:"result"`
}

// Remark is something learned about other entries.
type Remark struct {
	Header
	About []ID `json:"about"`
}

// Synonym is a set of words and phrases that mean the same in a search. The
// first is what the others are read as.
type Synonym struct {
	Header
	Words []string `json:"words"`
}

// New returns an empty entry of a kind, nil if there is no such kind.
func New(k Kind) Entry {
	h := Header{Kind: k}
	switch k {
	case KindAppliance:
		return &Appliance{Header: h}
	case KindComponent:
		return &Component{Header: h}
	case KindMode:
		return &Mode{Header: h}
	case KindSymptom:
		return &Symptom{Header: h}
	case KindTest:
		return &Test{Header: h}
	case KindRemedy:
		return &Remedy{Header: h}
	case KindPart:
		return &Part{Header: h}
	case KindCaveat:
		return &Caveat{Header: h}
	case KindJob:
		return &Job{Header: h}
	case KindRemark:
		return &Remark{Header: h}
	case KindSynonym:
		return &Synonym{Header: h}
	}
	return nil
}
