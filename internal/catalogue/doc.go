// Package catalogue owns the trade in parts: from what somebody says to today's
// number and what may stand in for it, and from what breaks to what is worth
// carrying.
//
// Lists come in through catalogue/lists, which also puts them together for a library
// to be built of. What is asked of a library stands here: a part by its number or by
// words (LookUp), parts like one (MatchPart), the parts of a repair (OfRepair), and
// what to carry (PlanStock). What lies on which van is kept by catalogue/stock. This
// package is pure and runs in a browser; what writes files is in those two. What a
// number, a row or a chain of numbers means is known to package parts, which they all
// rest on.
package catalogue
