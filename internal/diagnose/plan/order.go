package plan

import (
	"math"
	"slices"
)

// negligible is the part of all there was from which on a world does not count.
const negligible = 1e-9

// sequence is the cost of repairing without any further test: always what is most
// probable for its cost (Kadane and Simon 1977), until it works or calling for
// help is cheaper. It returns the first repair too; -1 is the call.
func (s *search) sequence(st state) (cost float64, first int) {
	total := st.total()
	best, first := s.calling(st.mass), -1
	if total <= negligible*s.all {
		return 0, first
	}
	mass := slices.Clone(st.mass)
	now := st
	now.mass = mass
	left, spent := total, 0.0
	opening := -1
	for range s.Repairs {
		pick, rate, c, changed := -1, 0.0, 0.0, 0.0
		for r := range s.Repairs {
			if now.repairs>>r&1 == 1 {
				continue
			}
			p := s.changes(mass, r)
			if !s.allowed(now, r, p, left) {
				continue
			}
			rc := s.repairCost(now, r) + s.waste(r, p, left)
			if each := p / rc; each > rate || pick < 0 && !math.IsInf(rc, 1) {
				pick, rate, c, changed = r, each, rc, p
			}
		}
		if pick < 0 || changed <= 0 {
			break
		}
		if opening < 0 {
			opening = pick
		}
		spent += float64(left * c)
		for w, to := range s.Repairs[pick].After { // worlds lead to lower ones
			if to != w {
				if to != Works {
					mass[to] += mass[w]
				}
				mass[w] = 0
			}
		}
		now.repairs |= 1 << pick
		now.prepared |= s.repairNeeds[pick]
		left = now.total()
		if left <= negligible*s.all {
			left = 0
			clear(mass)
		}
		if after := spent + s.calling(mass); after < best {
			best, first = after, opening
		}
		if left == 0 {
			break
		}
	}
	return best, first
}

// waste is what a repair costs on average beyond itself for doing nothing.
func (s *search) waste(r int, changed, total float64) float64 {
	if wrong := total - changed; wrong > negligible*s.all && s.Repairs[r].Wrong > 0 {
		return s.Repairs[r].Wrong * wrong / total
	}
	return 0
}

// calling is what it costs to hand over what is left; nothing left costs nothing,
// whatever a call costs.
func (s *search) calling(mass []float64) float64 {
	sum := 0.0
	for w, m := range mass {
		if m > 0 {
			sum += float64(m * s.Call[w])
		}
	}
	return sum
}

// floors is for each world the least that it can cost from there on.
func (s *search) floors() {
	s.floor = s.vector()
	for w := range s.Worlds { // repairs lead to lower worlds
		least := s.Call[w]
		for _, r := range s.Repairs {
			switch to := r.After[w]; {
			case to == w:
			case to == Works:
				least = math.Min(least, r.Cost)
			default:
				least = math.Min(least, r.Cost+s.floor[to])
			}
		}
		s.floor[w] = least
	}
}

// least is a bound below the cost of a state.
func (s *search) least(st state) float64 {
	sum := 0.0
	for w, m := range st.mass {
		if m > 0 {
			sum += float64(m * s.floor[w])
		}
	}
	return sum
}
