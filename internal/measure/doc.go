// Package measure turns a number on a meter into a verdict: what a healthy part
// should read here and now, the band that a good part and a good meter leave,
// how likely it is that the part conforms, and what the reading says for and
// against each thing that may be wrong.
//
// It is physics with stated uncertainty. Its functions are pure: they know no
// store and no file, and compile to js/wasm.
//
// Uncertainty is that of JCGM 100:2008 (the GUM): each input has a standard
// uncertainty, sensitivities are taken numerically, and bands are expanded with
// k = 2. Conformity is that of JCGM 106:2012. Where the text of a standard was
// not at hand, the source says "from memory".
package measure
