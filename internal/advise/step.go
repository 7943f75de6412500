package advise

// StepKind says what a step is.
type StepKind string

// The kinds of steps. A chart has tests, repairs and calls, and ends where it was
// asked to.
const (
	StepTest   StepKind = "test"
	StepRepair StepKind = "repair"
	StepCall   StepKind = "call" // for help, or for someone who may do it
	StepStop   StepKind = "stop" // the work ends here
	StepAsk    StepKind = "ask"  // what is there has to be said first
	StepEnd    StepKind = "end"
)
