// Package graph keeps the links of one generation in a Cayley quad store on bbolt;
// it is the only package that knows Cayley, and none of its types leave here.
//
// Subject and object of a quad are ids, the predicate is the name of the link, the
// label is the path of the note that says so. A figure of a link hangs on a node
// of its own, named after the three.
package graph
