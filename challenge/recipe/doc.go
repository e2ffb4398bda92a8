// Package recipe reads what people send, in whatever shape, into a breakdown:
// title, yield, components, ingredients with exact amounts, steps with their
// durations and temperatures, allergens and findings.
//
// Read never fails: whatever the text, there is a breakdown, and what could not
// be understood is a finding. It takes time linear in the text's length. Every
// element keeps its place in the original text, and every guess how sure it is.
// The text itself is never changed; corrections by people lie over the breakdown
// (Apply) and survive a newer version of this code.
//
// It must not reach outside: no file, clock or network. Facts about foods are
// package pantry's, arithmetic is package measure's.
//
// Start with read.go, which names the passes in order; breakdown.go holds the
// types; line.go is the ingredient line, step.go the step.
package recipe
