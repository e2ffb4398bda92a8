// Package intake turns what people send in, by mail or as files, into raw
// entries: the recipe's text, who sent it and where it was found, with a
// verdict on whether it looks like an entry and a plain reason.
//
// All never fails and never panics: what cannot be read is a raw entry too,
// skipped with its reason. Everything strangers send is bounded: bytes, files,
// nesting and parts (limit.go). Write and its siblings go the other way; what
// goes out comes back in unchanged.
//
// It must not decide who takes part or keep anything: no clock, no store, no
// network. What a recipe says is package recipe's matter.
//
// Start with read.go, which names the formats; mail.go is the longest way in,
// judge.go gives the verdict.
package intake
