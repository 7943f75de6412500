package measure

import "math"

// coverage is the factor k of expanded uncertainties: about 95 per cent where the
// result is near to normal (GUM 6.2.2, 6.3.3).
const coverage = 2

// rectangular is the standard uncertainty of a quantity that lies anywhere within
// plus and minus half (GUM 4.3.7).
func rectangular(half float64) float64 { return half / math.Sqrt(3) }

// triangular is the standard uncertainty of the sum or difference of two quantities
// that each lie anywhere within plus and minus half/2, as two readings of one scale
// do, so that it lies within plus and minus half (GUM 4.3.9).
func triangular(half float64) float64 { return half / math.Sqrt(6) }
