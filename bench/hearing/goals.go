package main

// What hearing is to reach.
var (
	goalSymptomFirst   = atLeast(0.85)
	goalSymptomThird   = atLeast(0.97)
	goalDangerHeard    = atLeast(0.995)
	goalHarmlessStops  = atMost(0.005)
	goalHarmlessAsks   = atMost(0.04)
	goalChangedShipped = atLeast(1)
	goalChangedUnseen  = atLeast(0.98)
	goalResultHeard    = atLeast(0.93)
	goalHealthyFault   = atMost(0.01)
	goalNoneCaused     = atMost(0.02)
	goalCalibration    = atMost(0.05)
	goalStories        = atLeast(0.9)
)

// What a test fails for. Raise these as hearing gets better; never lower them.
var (
	floorDangerHeard    = atLeast(0.99)
	floorHarmlessStops  = atMost(0.02)
	floorChangedShipped = atLeast(0.98)
	floorChangedUnseen  = atLeast(0.96)
)
