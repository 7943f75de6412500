// Command twolevel times exact inference on two-level noisy-OR networks of the
// size of the medical network QMR-DT (Shwe et al. 1991: about 600 causes and
// 4,000 findings), and compares the probability of the findings with the same
// sum in arithmetic of 300 bits.
//
//	go run ./bench/twolevel
package main

import (
	"flag"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"text/tabwriter"
	"time"

	"kg/bench/discrete"
	"kg/internal/diagnose/bayes"
)

func main() {
	causes := flag.Int("causes", 600, "how many causes")
	findings := flag.Int("findings", 4000, "how many findings")
	negative := flag.Int("negative", 40, "how many findings are negative")
	rounds := flag.Int("rounds", 15, "how many cases for each number of positive findings")
	flag.Parse()
	if err := run(*causes, *findings, *negative, *rounds); err != nil {
		fmt.Fprintln(os.Stderr, "twolevel:", err)
		os.Exit(1)
	}
}

// network is a two-level network: prior of each cause, and for each finding its
// leak and its causes with their strengths.
type network struct {
	priors   []float64
	leaks    []float64
	parents  [][]int
	strength [][]float64
}

const mostParents = 11

func random(r *rand.Rand, causes, findings int) network {
	n := network{}
	for range causes {
		n.priors = append(n.priors, 0.001+0.02*r.Float64())
	}
	for range findings {
		k := 1 + r.IntN(mostParents)
		n.leaks = append(n.leaks, 0.0005+0.005*r.Float64())
		parents := r.Perm(causes)[:k]
		var strength []float64
		for range k {
			strength = append(strength, 0.05+0.9*r.Float64())
		}
		n.parents = append(n.parents, parents)
		n.strength = append(n.strength, strength)
	}
	return n
}

// scattered takes the positive findings at random: the hardest kind, since they
// share the fewest causes with each other.
func (n network) scattered(r *rand.Rand, positive, negative int) (yes, no []int) {
	all := r.Perm(len(n.parents))
	return all[:positive], all[positive : positive+negative]
}

// clustered takes them from the findings of a few causes, as a case would.
func (n network) clustered(r *rand.Rand, positive, negative int) (yes, no []int) {
	few := r.Perm(len(n.priors))[:3]
	all := r.Perm(len(n.parents))
	slices.SortStableFunc(all, func(a, b int) int {
		return n.shares(b, few) - n.shares(a, few)
	})
	rest := all[positive:]
	r.Shuffle(len(rest), func(i, j int) { rest[i], rest[j] = rest[j], rest[i] })
	return all[:positive], rest[:negative]
}

// crowded gives the positive findings 11 causes each out of a pool of 40, so that
// everything hangs together.
func (n network) crowded(r *rand.Rand, positive, negative int) (yes, no []int) {
	yes, no = n.scattered(r, positive, negative)
	pool := r.Perm(len(n.priors))[:40]
	for _, f := range yes {
		n.parents[f], n.strength[f] = nil, nil
		for _, i := range r.Perm(len(pool))[:mostParents] {
			n.parents[f] = append(n.parents[f], pool[i])
			n.strength[f] = append(n.strength[f], 0.05+0.9*r.Float64())
		}
	}
	return yes, no
}

func (n network) shares(finding int, causes []int) int {
	if slices.ContainsFunc(n.parents[finding], func(p int) bool { return slices.Contains(causes, p) }) {
		return 1
	}
	return 0
}

// nodes is the network for inference: the causes, then the findings.
func (n network) nodes() discrete.Network {
	states := []string{"no", "yes"}
	out := discrete.Network{}
	for _, prior := range n.priors {
		out.Nodes = append(out.Nodes, discrete.Node{States: states, Table: []float64{1 - prior, prior}})
	}
	for f, parents := range n.parents {
		out.Nodes = append(out.Nodes, discrete.Node{States: states, Parents: parents, Gate: discrete.NoisyOR(n.leaks[f], n.strength[f]...)})
	}
	return out
}

// exact sums over the subsets of positive findings (Quickscore, Heckerman 1989)
// with 300 bits, where the alternating signs do no harm.
func (n network) exact(yes, no []int) *big.Float {
	const precision = 300
	number := func(x float64) *big.Float { return new(big.Float).SetPrec(precision).SetFloat64(x) }
	one := number(1)
	base := number(1) // of the leaks
	keep := make([]*big.Float, len(n.priors))
	for v := range keep {
		keep[v] = number(1)
	}
	silence := func(f int, sofar *big.Float, keep []*big.Float) {
		sofar.Mul(sofar, new(big.Float).Sub(one, number(n.leaks[f])))
		for i, v := range n.parents[f] {
			keep[v].Mul(keep[v], new(big.Float).Sub(one, number(n.strength[f][i])))
		}
	}
	for _, f := range no {
		silence(f, base, keep)
	}
	var touched []int
	for _, f := range yes {
		touched = append(touched, n.parents[f]...)
	}
	slices.Sort(touched)
	touched = slices.Compact(touched)
	of := func(v int, k *big.Float) *big.Float {
		x := new(big.Float).Sub(one, number(n.priors[v]))
		return x.Add(x, new(big.Float).Mul(number(n.priors[v]), k))
	}
	rest := new(big.Float).Copy(base)
	for v := range n.priors {
		if _, is := slices.BinarySearch(touched, v); !is {
			rest.Mul(rest, of(v, keep[v]))
		}
	}
	total := number(0)
	for set := range 1 << len(yes) {
		term := number(1)
		local := map[int]*big.Float{}
		for _, v := range touched {
			local[v] = new(big.Float).Copy(keep[v])
		}
		sign := 1
		for i, f := range yes {
			if set>>i&1 == 0 {
				continue
			}
			sign = -sign
			term.Mul(term, new(big.Float).Sub(one, number(n.leaks[f])))
			for j, v := range n.parents[f] {
				local[v].Mul(local[v], new(big.Float).Sub(one, number(n.strength[f][j])))
			}
		}
		for _, v := range touched {
			term.Mul(term, of(v, local[v]))
		}
		if sign < 0 {
			total.Sub(total, term)
		} else {
			total.Add(total, term)
		}
	}
	return total.Mul(total, rest)
}

func run(causes, findings, negative, rounds int) error {
	w := tabwriter.NewWriter(os.Stdout, 0, 8, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintf(w, "%d causes, %d findings, %d negative, all posteriors; median and largest of %d cases\n", causes, findings, negative, rounds)
	fmt.Fprintln(w, "positive\tchosen\tmedian ms\tlargest ms\twidth\tallocated MiB\trelative error\t")
	for _, positive := range []int{4, 8, 12, 16, 20, 24, 28, 32} {
		for _, kind := range []string{"scattered", "clustered", "crowded"} {
			if kind == "crowded" && positive > 16 {
				continue // takes seconds and more
			}
			if err := row(w, kind, causes, findings, positive, negative, rounds); err != nil {
				return err
			}
		}
	}
	return w.Flush()
}

func row(w *tabwriter.Writer, kind string, causes, findings, positive, negative, rounds int) error {
	r := rand.New(rand.NewPCG(1, uint64(positive)))
	var times []float64
	width, allocated := 0, 0.0
	all := make([]int, causes) // are asked for
	for v := range all {
		all[v] = v
	}
	off := "not summed"
	for i := range rounds {
		n := random(r, causes, findings)
		choose := map[string]func(*rand.Rand, int, int) (yes, no []int){
			"scattered": n.scattered, "clustered": n.clustered, "crowded": n.crowded,
		}[kind]
		yes, no := choose(r, positive, negative)
		var before, after runtime.MemStats
		nodes := n.nodes()
		var seen []discrete.Finding
		for state, some := range [][]int{no, yes} {
			for _, f := range some {
				seen = append(seen, nodes.Seen(causes+f, state))
			}
		}
		runtime.GC()
		runtime.ReadMemStats(&before)
		start := time.Now()
		posterior, err := nodes.Infer(seen, all...)
		if err != nil {
			return fmt.Errorf("%d positive findings: %w", positive, err)
		}
		times = append(times, float64(time.Since(start).Microseconds())/1000)
		runtime.ReadMemStats(&after)
		allocated = max(allocated, float64(after.TotalAlloc-before.TotalAlloc)/(1<<20))
		width = max(width, posterior.Width)
		if i == 0 && positive <= 12 {
			off = fmt.Sprintf("%.1e", relative(posterior.Evidence, n.exact(yes, no)))
		}
	}
	slices.Sort(times)
	fmt.Fprintf(w, "%d\t%s\t%.2f\t%.2f\t%d\t%.1f\t%s\t\n", positive, kind, times[len(times)/2], times[len(times)-1], width, allocated, off)
	return nil
}

func relative(got bayes.Scaled, want *big.Float) float64 {
	x := new(big.Float).SetPrec(300).SetFloat64(got.Mantissa)
	x.SetMantExp(x, got.Exponent)
	x.Sub(x, want).Quo(x, want)
	f, _ := x.Float64()
	return math.Abs(f)
}
