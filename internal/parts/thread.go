package parts

import (
	"fmt"
	"strings"
)

// thread is a pipe thread by its series and size, or a metric one.
type thread struct {
	series threadSeries
	size   string // of a pipe thread, in inches as they are written: "1/2", "1 1/4"
	// diameter and pitch are of a metric thread, in millimetres.
	diameter, pitch float64
}

// threadSeries is a series of threads. Pipe threads of one size have one diameter and
// one pitch in all of them; they differ in how they seal.
type threadSeries string

const (
	// fastening is ISO 228-1: parallel, and tight by a washer, not by the thread.
	fastening threadSeries = "G"
	// taperOutside, parallelInside and taperInside are ISO 7-1: tight by the thread.
	taperOutside   threadSeries = "R"
	parallelInside threadSeries = "Rp"
	taperInside    threadSeries = "Rc"
	metric         threadSeries = "M"
)

// pipeThread is a size of pipe thread.
type pipeThread struct {
	size     string
	perInch  int     // threads in 25.4 mm
	diameter float64 // major diameter, mm; on ISO 7-1 threads that of the gauge plane
}

// pipeThreads are the sizes of ISO 228-1:2000, table 1, up to 2 inches; those of
// ISO 7-1:1994 have the same pitch and diameter (5/8, 7/8 and 1 3/4 are not among
// them). Values from memory.
func pipeThreads() []pipeThread {
	return []pipeThread{
		{"1/16", 28, 7.723}, {"1/8", 28, 9.728}, {"1/4", 19, 13.157}, {"3/8", 19, 16.662},
		{"1/2", 14, 20.955}, {"5/8", 14, 22.911}, {"3/4", 14, 26.441}, {"7/8", 14, 30.201},
		{"1", 11, 33.249}, {"1 1/4", 11, 41.910}, {"1 1/2", 11, 47.803}, {"1 3/4", 11, 53.746}, {"2", 11, 59.614},
	}
}

// parseThread reads "G 1/2", "G1/2A", "R 3/4", "Rp 1/2", "1/2 BSPP", "M10x1".
func parseThread(s string) (thread, error) {
	text := strings.Join(strings.Fields(strings.NewReplacer("½", "1/2", "¼", "1/4", "¾", "3/4", "⅜", "3/8", "\"", " ", "″", " ").Replace(s)), " ")
	upper := strings.ToUpper(text)
	switch {
	case strings.HasPrefix(upper, "M"):
		var t = thread{series: metric}
		if n, err := fmt.Sscanf(strings.ReplaceAll(strings.ReplaceAll(upper[1:], " ", ""), "×", "X"), "%fX%f", &t.diameter, &t.pitch); err != nil || n != 2 || !(t.diameter > 0 && t.diameter < 1000 && t.pitch > 0 && t.pitch < 100) {
			return thread{}, fmt.Errorf("%q is not a metric thread: write it like M10x1, with its pitch", s)
		}
		return t, nil
	case strings.HasSuffix(upper, "BSPP"):
		return pipe(fastening, upper[:len(upper)-len("BSPP")], s)
	case strings.HasSuffix(upper, "BSPT"):
		return pipe(taperOutside, upper[:len(upper)-len("BSPT")], s)
	case strings.HasSuffix(upper, "BSP"):
		return thread{}, fmt.Errorf("%q does not say whether the thread is parallel or taper: write G for BSPP, R for BSPT", s)
	case strings.HasPrefix(upper, "G"):
		size := strings.TrimSpace(upper[1:])
		return pipe(fastening, strings.TrimRight(size, "AB"), s) // A and B are classes of tolerance
	case strings.HasPrefix(upper, "RP"):
		return pipe(parallelInside, upper[2:], s)
	case strings.HasPrefix(upper, "RC"):
		return pipe(taperInside, upper[2:], s)
	case strings.HasPrefix(upper, "R"):
		return pipe(taperOutside, upper[1:], s)
	}
	return thread{}, fmt.Errorf("%q is not a thread: write it like G 1/2, R 3/4, Rp 1/2 or M10x1", s)
}

func pipe(series threadSeries, size, whole string) (thread, error) {
	size = strings.Join(strings.Fields(strings.ReplaceAll(size, "-", " ")), " ")
	for _, p := range pipeThreads() {
		if p.size == size {
			return thread{series: series, size: size}, nil
		}
	}
	return thread{}, fmt.Errorf("%q is not a size of pipe thread: sizes are 1/8, 1/4, 3/8, 1/2, 3/4, 1, 1 1/4, 1 1/2 and 2", whole)
}

// sameScrew reports whether two threads screw together with one partner, tight or
// not.
func (t thread) sameScrew(o thread) bool {
	if t.series == metric || o.series == metric {
		return t == o
	}
	return t.size == o.size
}
