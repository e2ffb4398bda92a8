// Package yardstick writes rows that a server has written once more, with
// nothing around them: one bare SQLite transaction each. It says what the
// database alone does on a machine, and serves measuring only.
//
// Start with [Entries] and [Ballots].
package yardstick
