// Package ballot counts the audience's vote: one choice, approval, or a ranking
// (instant run-off or Schulze), and says for two dishes whether the difference
// could be chance.
//
// It sees ballots and nothing else: no voter, no link, no time, and the order
// of the ballots changes no result. It draws no lots: what votes leave level
// stays level (Result.Level).
//
// Start with count.go. binomial.go is the exact test and the tables that follow
// from it.
package ballot
