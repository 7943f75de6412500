package parts

import (
	"fmt"
	"strings"
)

// Thread is a pipe thread by its series and size, or a metric one.
type Thread struct {
	Series Series
	Size   string // of a pipe thread, in inches as they are written: "1/2", "1 1/4"
	// Diameter and Pitch are of a metric thread, in millimetres.
	Diameter, Pitch float64
}

// Series is a series of threads. Pipe threads of one size have one diameter and
// one pitch in all of them; they differ in how they seal.
type Series string

const (
	// Fastening is ISO 228-1: parallel, and tight by a washer, not by the thread.
	Fastening Series = "G"
	// TaperOutside, ParallelInside and TaperInside are ISO 7-1: tight by the thread.
	TaperOutside   Series = "R"
	ParallelInside Series = "Rp"
	TaperInside    Series = "Rc"
	Metric         Series = "M"
)

// PipeThread is a size of pipe thread.
type PipeThread struct {
	Size     string
	PerInch  int     // threads in 25.4 mm
	Diameter float64 // major diameter, mm; on ISO 7-1 threads that of the gauge plane
}

// PipeThreads are the sizes of ISO 228-1:2000, table 1, up to 2 inches; those of
// ISO 7-1:1994 have the same pitch and diameter (5/8, 7/8 and 1 3/4 are not among
// them). Values from memory.
func PipeThreads() []PipeThread {
	return []PipeThread{
		{"1/16", 28, 7.723}, {"1/8", 28, 9.728}, {"1/4", 19, 13.157}, {"3/8", 19, 16.662},
		{"1/2", 14, 20.955}, {"5/8", 14, 22.911}, {"3/4", 14, 26.441}, {"7/8", 14, 30.201},
		{"1", 11, 33.249}, {"1 1/4", 11, 41.910}, {"1 1/2", 11, 47.803}, {"1 3/4", 11, 53.746}, {"2", 11, 59.614},
	}
}

// ParseThread reads "G 1/2", "G1/2A", "R 3/4", "Rp 1/2", "1/2 BSPP", "M10x1".
func ParseThread(s string) (Thread, error) {
	text := strings.Join(strings.Fields(strings.NewReplacer("½", "1/2", "¼", "1/4", "¾", "3/4", "⅜", "3/8", "\"", " ", "″", " ").Replace(s)), " ")
	upper := strings.ToUpper(text)
	switch {
	case strings.HasPrefix(upper, "M"):
		var t = Thread{Series: Metric}
		if n, err := fmt.Sscanf(strings.ReplaceAll(strings.ReplaceAll(upper[1:], " ", ""), "×", "X"), "%fX%f", &t.Diameter, &t.Pitch); err != nil || n != 2 || !(t.Diameter > 0 && t.Diameter < 1000 && t.Pitch > 0 && t.Pitch < 100) {
			return Thread{}, fmt.Errorf("%q is no metric thread: write it like M10x1, with its pitch", s)
		}
		return t, nil
	case strings.HasSuffix(upper, "BSPP"):
		return pipe(Fastening, upper[:len(upper)-len("BSPP")], s)
	case strings.HasSuffix(upper, "BSPT"):
		return pipe(TaperOutside, upper[:len(upper)-len("BSPT")], s)
	case strings.HasSuffix(upper, "BSP"):
		return Thread{}, fmt.Errorf("%q does not say whether the thread is parallel or taper: write G for BSPP, R for BSPT", s)
	case strings.HasPrefix(upper, "G"):
		size := strings.TrimSpace(upper[1:])
		return pipe(Fastening, strings.TrimRight(size, "AB"), s) // A and B are classes of tolerance
	case strings.HasPrefix(upper, "RP"):
		return pipe(ParallelInside, upper[2:], s)
	case strings.HasPrefix(upper, "RC"):
		return pipe(TaperInside, upper[2:], s)
	case strings.HasPrefix(upper, "R"):
		return pipe(TaperOutside, upper[1:], s)
	}
	return Thread{}, fmt.Errorf("%q is no thread: write it like G 1/2, R 3/4, Rp 1/2 or M10x1", s)
}

func pipe(series Series, size, whole string) (Thread, error) {
	size = strings.Join(strings.Fields(strings.ReplaceAll(size, "-", " ")), " ")
	for _, p := range PipeThreads() {
		if p.Size == size {
			return Thread{Series: series, Size: size}, nil
		}
	}
	return Thread{}, fmt.Errorf("%q is no size of pipe thread: sizes are 1/8, 1/4, 3/8, 1/2, 3/4, 1, 1 1/4, 1 1/2 and 2", whole)
}

func (t Thread) String() string {
	if t.Series == Metric {
		return fmt.Sprintf("M%gx%g", t.Diameter, t.Pitch)
	}
	return string(t.Series) + " " + t.Size
}

// sameScrew reports whether two threads screw together with one partner, tight or
// not.
func (t Thread) sameScrew(o Thread) bool {
	if t.Series == Metric || o.Series == Metric {
		return t == o
	}
	return t.Size == o.Size
}
