// Package season is a run of challenges: the rule by which it gives points, the
// standings that follow from what has been published, and the month by which
// dates move from one challenge to the next.
//
// It knows nobody's address and no draft: who asks it for standings passes only
// what everyone may see. Start with [Standings].
package season
