package plan

import "math"

// deepestRollout is how many steps a rollout takes before it repairs without
// further tests.
const deepestRollout = 8

// rareState is the part of all there was below which a rollout does not go into
// detail.
const rareState = 0.01

// rollout is the cost of going on with the test that tells most for its cost,
// as long as that is cheaper than repairing without any.
func (s *search) rollout(st state, deepest int) float64 {
	total := st.total()
	if total <= negligible*s.all {
		return 0
	}
	if v, is := s.rolled[st.key]; is {
		return v
	}
	best, first := s.sequence(st)
	if rare := total < rareState*s.all && !math.IsInf(best, 1); deepest > 0 && !rare && !s.exhausted() && s.testsPay(st, best) {
		s.steps++
		if t := s.mostTelling(st); t >= 0 {
			best = math.Min(best, s.rolledTest(st, t, deepest))
		}
		if first >= 0 {
			after, changed := s.afterRepair(st, first)
			c := s.repairCost(st, first) + s.waste(first, changed, total)
			best = math.Min(best, float64(total*c)+s.rollout(after, deepest-1))
		}
	}
	if !s.exhausted() {
		s.rolled[st.key] = best
	}
	return best
}

func (s *search) rolledTest(st state, t, deepest int) float64 {
	sum := st.total() * s.testCost(st, t)
	for r := range s.Tests[t].Results {
		if after, comes := s.afterResult(st, t, r); comes {
			sum += s.rollout(after, deepest-1)
		}
	}
	return sum
}

// mostTelling is the test that tells most for its cost; -1 when none tells
// anything.
func (s *search) mostTelling(st state) int {
	pick, most := -1, 0.0
	for t := range s.Tests {
		if st.tests>>t&1 == 1 {
			continue
		}
		if rate := s.tells(st, t) / math.Max(s.testCost(st, t), tiny); rate > most {
			pick, most = t, rate
		}
	}
	return pick
}

// tells is how much a test is expected to concentrate the masses: the gain in the
// sum of their squares (quadratic or Gini information), in units of mass.
func (s *search) tells(st state, t int) float64 {
	total, before := 0.0, 0.0
	for _, m := range st.mass {
		total += m
		before += float64(m * m)
	}
	gain := -before / total
	for _, result := range s.Tests[t].Results {
		sum, squares := 0.0, 0.0
		for w, p := range result {
			m := float64(st.mass[w] * p)
			sum += m
			squares += float64(m * m)
		}
		if sum > 0 {
			gain += squares / sum
		}
	}
	if gain < 1e-9*total {
		return 0
	}
	return gain
}
