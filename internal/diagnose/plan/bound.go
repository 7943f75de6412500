package plan

import "math"

// boundDepth is how many steps a bound looks ahead. Each makes it tighter, and dearer by
// the number of things that can be done.
const boundDepth = 2

// bound is a cost that no way of going on from a state falls short of: for some steps
// all that may be done is tried, and from there on every world costs what it would if it
// were known (the hindsight relaxation, as in the QMDP of Littman, Cassandra and Kaelbling
// 1995). What still has to be prepared then is free in it.
func (s *search) bound(st state, depth int) float64 {
	least := s.least(st)
	if depth == 0 || st.total() <= negligible*s.all {
		return least
	}
	best := s.calling(st.mass)
	total := st.total()
	for r := range s.Repairs {
		if st.repairs>>r&1 == 1 {
			continue
		}
		after, changed := s.afterRepair(st, r)
		if c := s.repairCost(st, r) + s.waste(r, changed, total); s.allowed(st, r, changed, total) && total*c < best {
			best = math.Min(best, float64(total*c)+s.bound(after, depth-1))
		}
	}
	for t := range s.Tests {
		if st.tests>>t&1 == 1 || float64(total*s.testCost(st, t))+least >= best {
			continue
		}
		sum := float64(total * s.testCost(st, t))
		for r := range s.Tests[t].Results {
			if after, comes := s.afterResult(st, t, r); comes {
				sum += s.bound(after, depth-1)
			}
		}
		best = math.Min(best, sum)
	}
	return math.Max(best, least)
}
