// Package pantry holds facts about foods and kitchens: densities, allergen
// words and their false friends, diets, aisles, safe temperatures, cautions,
// verbs and the equipment they need.
//
// Every table is a TSV file beside this text, embedded, with a source on each
// row; sources.tsv explains the codes. Rows marked "common practice" or "CP"
// have no published source and are defaults to be reviewed. The allergen words
// must be reviewed by a qualified person before anyone relies on them: a word
// that is not found is "not recognised", never "not present".
//
// It reads no recipe: package recipe brings the words. Start with table.go for
// how a table is read and trie.go for how words are matched, then allergen.go.
package pantry
