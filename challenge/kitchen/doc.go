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
// Start with service.go for the words. Then, for the list: shopping.go, merge.go,
// portion.go, packs.go; for the prep list: preplist.go, station.go, held.go. For
// the plan: task.go and derive.go (text to tasks; clause.go, equip.go, guess.go,
// size.go, hot.go hold its rules), stream.go and mention.go (what a step waits
// for; named.go, vessel.go and orderwords.go read its words), plan.go and
// wishes.go (what is wanted), sheet.go (the answer), trouble.go and coldroom.go
// (what is in the way and what would help), replan.go and underway.go (while
// cooking). check.go judges a sheet without any of these.
package kitchen
