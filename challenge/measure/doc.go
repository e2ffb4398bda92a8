// Package measure holds quantities the way a kitchen needs them: exact
// fractions, ranges, units with their published sizes, conversion between
// them, and how an amount is written for a cook.
//
// It knows no food: turning a volume into a mass needs a density, which package
// pantry has. It never mixes systems silently; a cup is a US cup, a metric cup
// or a labelling cup, and whoever converts says which.
//
// Start with number.go for the arithmetic, then unit.go for units.tsv.
package measure
