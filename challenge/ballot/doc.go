// Package ballot counts the audience's vote: one choice, approval, or a ranking
// (instant run-off or Schulze), and says for two dishes whether the difference
// could be chance.
//
// It sees ballots and nothing else: no voter, no link, no time, and the order
// of the ballots changes no result. It draws no lots; where votes leave a tie it
// says so (Result.NeedsDraw) and takes the order of a recorded draw.
//
// Start with count.go. binomial.go is the exact test and the tables that follow
// from it.
package ballot
