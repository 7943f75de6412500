package plan

import (
	"math/bits"
	"math/rand/v2"
)

// state is a point of a call-out: how much of each world is left, and what was
// done. The masses are not scaled to 1, so that values add up over results.
type state struct {
	mass           []float64
	tests, repairs uint64 // done
	prepared       uint64
	key            uint64 // one number for all that was done and found
}

// start is where the call-out stands.
func (s *search) start() state { return state{mass: s.Worlds} }

func (st state) total() float64 {
	sum := 0.0
	for _, m := range st.mass {
		sum += m
	}
	return sum
}

// testCost is what a test costs now, with what has to be prepared for it.
func (s *search) testCost(st state, t int) float64 {
	return s.Tests[t].Cost + s.prepare(st, s.testNeeds[t])
}

// repairCost is the same for a repair.
func (s *search) repairCost(st state, r int) float64 {
	return s.Repairs[r].Cost + s.prepare(st, s.repairNeeds[r])
}

func (s *search) prepare(st state, needs uint64) float64 {
	sum := 0.0
	for open := needs &^ st.prepared; open != 0; open &= open - 1 {
		sum += s.Preparations[bits.TrailingZeros64(open)]
	}
	return sum
}

// afterResult is the state after a result of a test; false when it cannot come.
func (s *search) afterResult(st state, t, r int) (state, bool) {
	out := state{
		mass: s.vector(), tests: st.tests | 1<<t, repairs: st.repairs, prepared: st.prepared | s.testNeeds[t],
		key: st.key ^ mixed(s.resultKeys[t][r]^st.repairs),
	}
	total := 0.0
	for w, p := range s.Tests[t].Results[r] {
		m := float64(st.mass[w] * p)
		out.mass[w] = m
		total += m
	}
	return out, total > 0
}

// mixed spreads the bits of a number (the finaliser of SplitMix64; Steele, Lea
// and Flood 2014). What a test says after a repair is not what it says before, so
// that a result counts with the repairs that were done by then.
func mixed(x uint64) uint64 {
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// afterRepair is the state after a repair that did not do: the worlds that it
// ended are gone, those that it changed are what is left of them. It also returns
// the mass that the repair changed.
func (s *search) afterRepair(st state, r int) (out state, changed float64) {
	out = state{
		mass: s.vector(), tests: st.tests, repairs: st.repairs | 1<<r, prepared: st.prepared | s.repairNeeds[r],
		key: st.key ^ s.repairKeys[r],
	}
	for w, to := range s.Repairs[r].After {
		m := st.mass[w]
		if to != w {
			changed += m
		}
		if to != Works {
			out.mass[to] += m
		}
	}
	return out, changed
}

// changes is the mass of the worlds that a repair changes.
func (s *search) changes(mass []float64, r int) float64 {
	sum := 0.0
	for _, w := range s.changed[r] {
		sum += mass[w]
	}
	return sum
}

// allowed reports whether a repair may be advised now: what it mends is probable
// enough, or no test is left that could prove it.
func (s *search) allowed(st state, r int, changed, total float64) bool {
	repair := s.Repairs[r]
	return changed > 0 && (changed >= repair.Least*total || s.proof[r]&^st.tests == 0)
}

func masks(lists [][]int) []uint64 {
	out := make([]uint64, len(lists))
	for i, list := range lists {
		for _, n := range list {
			out[i] |= 1 << n
		}
	}
	return out
}

// keys gives each thing that can be done or found a random number. The same
// problem has the same numbers every time.
func (s *search) keys() {
	r := rand.New(rand.NewPCG(3, 5))
	for _, t := range s.Tests {
		var keys []uint64
		for range t.Results {
			keys = append(keys, r.Uint64())
		}
		s.resultKeys = append(s.resultKeys, keys)
	}
	for range s.Repairs {
		s.repairKeys = append(s.repairKeys, r.Uint64())
	}
}

// vector returns a mass of nothing.
func (s *search) vector() []float64 { return make([]float64, len(s.Worlds)) }
