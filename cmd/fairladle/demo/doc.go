// Package demo is the invented scenario that "fairladle demo" starts with: a
// small radio station, its listeners, and a season of recipe challenges with
// one in each stage of life. People, addresses, dishes and opinions are made
// up; the recipes can be cooked.
//
// It only reads its embedded files (data/) into plain values and paints
// pictures. It must not know the store or the server, read the clock or draw
// random numbers: every time is a distance from a "now" that the caller has.
//
// Start with Load in load.go and the types in scenario.go. The recipes are
// data/entries/CHALLENGE/NN-name.txt: a few header lines, a line "---", and the
// text as it was typed, mistakes included.
package demo
