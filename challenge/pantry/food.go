package pantry

import "sync"

type foodTable struct{ names trie }

// foods are the names that any table knows; Food matches against them.
var foods = sync.OnceValue(func() *foodTable {
	t := &foodTable{}
	add := func(term string) { t.names.add(term, 0) }
	for _, r := range Rows("aisles") {
		add(r[0])
	}
	for _, r := range Rows("portions") {
		add(r[0])
	}
	for _, r := range Rows("allergens") {
		add(r[0])
	}
	for _, r := range Rows("diet") {
		add(r[0])
	}
	for _, r := range Rows("foods") {
		add(r[0])
	}
	return t
})

// Food gives the length in words of the longest known food name at the start of
// the stems, 0 where none is known.
func Food(stems []string) int {
	_, n := foods().names.longest(stems)
	return n
}
