// Package panel is the statistics of people who judge: how strict each one is,
// how much they agree, and what their marks say once strictness is taken out.
// Reading rounds and tastings share it.
//
// It knows neither entries nor plates, only items and raters under the numbers
// that the caller gave them, and it decides nothing: rules, ties and words
// belong to its callers. It imports no other package of Fairladle, reads no
// clock and draws no random numbers but those that follow from a seed.
//
// Start with mark.go (the input), then additive.go (the two-way additive model
// for panels in which not everybody judged everything). concordance.go, icc.go,
// krippendorff.go and durbin.go measure agreement; design.go deals readers to
// entries and plates to judges; resample.go asks how sure the answers are.
package panel
