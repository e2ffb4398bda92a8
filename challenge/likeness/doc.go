// Package likeness finds entries that are copies or light rewrites of each
// other, so that they can be shown side by side with what they share.
//
// An entry becomes a set of features (features.go), the set a MinHash signature
// (minhash.go), and the signature some band keys (band.go). The store keeps the
// keys in a table and asks it for entries that share one; only those are
// compared. It says how alike two texts are, never that one was copied: people
// decide.
//
// It imports package recipe for what an entry consists of, and keeps no index of
// its own beyond the small one in memory for tests and previews.
package likeness
