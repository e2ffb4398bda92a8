// Package store keeps everything in one SQLite file.
//
// One public method is one atomic unit: load, decide (by a pure function of
// package challenge), save, append to the ledger. SQL lives here and nowhere
// else. Every write passes [DB.write], which shares commits between callers
// and answers each only when the disk has it.
//
// Start with db.go for the two pools and the write path, migrate.go for the
// schema, and then the file named after the thing: entry.go, round.go,
// draw.go. It must not know about HTTP, templates or the clock on the wall:
// now comes from the function given to [Open].
package store
