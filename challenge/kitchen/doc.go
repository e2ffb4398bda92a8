// Package kitchen plans the cooking of several dishes for one serving time: the
// shopping list, the prep list, the tasks with what must come before what, and
// the run sheet that says who does what when.
//
// A recipe's breakdown becomes tasks by rules that are written down beside the
// code (derive.go); every duration that the recipe does not give is a guess and
// carries its source. The host corrects tasks; the plan follows.
//
// It must not know challenges, entries or people, and reads no clock: the
// serving time comes in. The work of placing tasks is package schedule's; this
// package says what is wanted of a plan and puts the answer into words.
//
// Start with service.go for the words, then shopping.go for the list and
// plan.go for the plan.
package kitchen
