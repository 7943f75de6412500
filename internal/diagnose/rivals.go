package diagnose

import "math"

// weights returns how much each cause that shows a symptom weighs given the
// symptom alone, and the whole: these causes and, by the leak, all else.
func (f *fitter) weights(symptom ID) (each map[ID]float64, whole float64) {
	each = map[ID]float64{}
	leak, sum := f.leaks[symptom], 0.0
	for _, id := range f.reach[symptom] {
		w := float64(f.rates[id] * NoisyOR(leak, f.shows[id][symptom]))
		each[id] = w
		sum += f.rates[id]
		whole += w
	}
	return each, whole + float64(elsewhere(sum)*leak)
}

// elsewhere is the probability of none of some causes whose rates add up to sum.
func elsewhere(sum float64) float64 { return math.Max(1-sum, 0.02) }

// adjust makes one statement true and returns how far off it was.
func (f *fitter) adjust(s Statement) float64 {
	each, whole := f.weights(s.Symptom)
	targets, rest := s.targets()
	named, all, sum := 0.0, 0.0, 0.0
	for _, share := range s.Shares {
		named += each[share.Cause]
	}
	for _, id := range f.reach[s.Symptom] {
		all += each[id]
		sum += f.rates[id]
	}
	if named == 0 {
		return 0
	}
	// What the statement leaves over is for the unnamed causes, cut down if they
	// weigh more, and for the leak.
	over := float64(rest / (1 - rest) * named)
	unnamed := all - named
	cut := math.Min(1, (1-leakPart)*over/math.Max(unnamed, 1e-300))
	leak := math.Min(highestLeak, (over-float64(cut*unnamed))/elsewhere(sum))
	f.leaks[s.Symptom] = math.Max(leak, math.Min(rarest, f.leaks[s.Symptom]))
	// Where the leak cannot take all that is left over, the named causes give way.
	less := 1.0
	if over > 0 {
		less = math.Min(1, (float64(leak*elsewhere(sum))+float64(cut*unnamed))/over)
	}
	for _, id := range f.reach[s.Symptom] {
		target, isNamed := targets[id]
		switch {
		case isNamed && target > 0 && each[id] > 0:
			f.move(id, s.Symptom, less*target/(1-rest)/(each[id]/named))
		case !isNamed && cut < 1:
			f.shows[id][s.Symptom] = math.Max(weakestLink, f.shows[id][s.Symptom]*cut)
		}
	}
	if whole > 0 {
		for id := range each {
			each[id] /= whole
		}
	}
	return s.difference(each)
}

// rarest bounds what a base rate or a leak can be lowered to: far below anything
// that is ever found, and far above what numbers can hold.
const rarest = 1e-9

// setRate moves a base rate within its bounds. What never occurs stays so.
func (f *fitter) setRate(cause ID, rate float64) {
	if f.rates[cause] > 0 {
		f.rates[cause] = math.Min(highestRate, math.Max(rarest, rate))
	}
}

// move multiplies the weight of a cause for a symptom by a factor.
func (f *fitter) move(cause, symptom ID, factor float64) {
	before := f.shows[cause][symptom]
	after := math.Min(strongestLink, math.Max(weakestLink, before*math.Sqrt(factor)))
	f.shows[cause][symptom] = after
	f.setRate(cause, f.rates[cause]*factor*before/after)
}
