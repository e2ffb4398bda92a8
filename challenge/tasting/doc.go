// Package tasting turns what judges tasted into a verdict that a sceptic can
// check: scales, sheets, serving orders, blind codes and the tally by a rule
// that was locked before the first sheet.
//
// It does not know who cooked or who judges, only the numbers of plates and
// judges; it keeps no sheets, seals nothing and draws no lots: where a tie is
// left to a recorded draw it says so (Verdict.NeedsDraw) and takes the result
// (Verdict.Drawn). Scores are integers in hundredths of a point, and means are
// exact fractions wherever the rule allows, so that a tie is a real tie.
//
// Start with rule.go (what is locked), then tally.go. serving.go and code.go
// serve the table before the tasting, certainty.go explains a verdict after it.
package tasting
