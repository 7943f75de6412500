// Package portable has the transcendental functions that the answers depend on,
// with the same bits on every processor and in js/wasm.
//
// Those of the package math differ in the last digit from one processor to
// another, for two reasons. Some are written in assembly where somebody took the
// trouble (Exp, Log and Hypot on amd64, Exp on arm64, most of them on s390x), by
// other methods than the Go code that serves the rest. And the language lets a
// compiler compute a*b + c with one rounding in place of two, which it does on
// arm64, ppc64, riscv64 and s390x, and on amd64 from GOAMD64=v3 on. A last digit is
// enough to turn round two causes that are equally likely, and the order of an
// answer with them.
//
// Here everything is Go, and every product that is added to or subtracted from
// something is rounded first by an explicit conversion, float64(a*b) + c, which the
// language says may not be fused. What IEEE 754 rounds exactly stays with package
// math: Sqrt, Abs, Floor, Ceil, Trunc, Min, Max, Frexp, Ldexp, Copysign and the
// like.
//
// The lint test of this package holds this package and those that use it to it.
//
// Methods and coefficients of Exp, Log, Log1p, Cbrt and Erfc are those of FreeBSD's
// msun (e_exp.c, e_log.c, s_log1p.c, s_cbrt.c, s_erf.c), which came with this notice:
//
//	Copyright (C) 1993 by Sun Microsystems, Inc. All rights reserved.
//	Developed at SunPro, a Sun Microsystems, Inc. business.
//	Permission to use, copy, modify, and distribute this software is freely
//	granted, provided that this notice is preserved.
//
// Errors are given in units in the last place (ulp) of the true value: the largest
// that was met among 20,000 to 100,000 arguments, against arithmetic of 300 bits (the
// tests have it); correct rounding would be 0.5.
package portable
