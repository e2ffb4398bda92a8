package recipe

import (
	_ "embed"
	"strings"
	"sync"

	"fairladle/challenge/measure"
)

//go:embed lexicon.tsv
var lexiconTSV string

// class is a set of the parts that a word can play in a recipe.
type class uint32

const (
	isVerb       class = 1 << iota // opens a step: "chop", "preheat"
	isPrep                         // done by the cook: "chopped", "melted"
	isAdverb                       // goes with a preparation: "finely"
	isSize                         // "large"
	isKeep                         // an adjective that stays in the name: "dried", "boneless"
	isMod                          // a noun that may stand before another: "chicken" stock
	isStop                         // ends the name: "for", "such"
	isTime                         // "minutes"
	isAbout                        // before an amount: "about", "heaping"
	isUnit                         // a unit word of package measure
	isNumber                       // "three", "half"
	isHead                         // a noun that alternatives share: vegetable or canola "oil"
	isWhole                        // a food that never stands before a shared head: "butter"
	isDish                         // what is made or served rather than what goes in: "cake"
	isUnremarked                   // at hand in every kitchen, or a word of cooking
	isNounVerb                     // opens an ingredient as often as a step: "salt"
	isOpener                       // opens a sentence of a method: "when"
	isPlain                        // a word of a heading that names no part: "the"
	isShort                        // an abbreviation within a name: "veg." oil
	isName                         // also a person's name: "rosemary", "will"
)

var classNames = map[string]class{"verb": isVerb, "prep": isPrep, "adverb": isAdverb, "size": isSize,
	"keep": isKeep, "mod": isMod, "stop": isStop, "time": isTime, "about": isAbout,
	"head": isHead, "whole": isWhole, "dish": isDish, "unremarked": isUnremarked, "nounverb": isNounVerb, "opener": isOpener,
	"plain": isPlain, "short": isShort, "name": isName}

// lexicon maps a lower-case word to its classes.
var lexicon = sync.OnceValue(func() map[string]class {
	m := make(map[string]class, 1500)
	for i, line := range strings.Split(strings.TrimRight(lexiconTSV, "\n"), "\n") {
		f := strings.Split(line, "\t")
		if i == 0 {
			continue
		}
		for _, name := range strings.Split(f[1], ",") {
			c, ok := classNames[name]
			if !ok {
				panic("recipe: lexicon.tsv: no class " + name)
			}
			m[f[0]] |= c
		}
	}
	for w := range measure.Words() {
		m[w] |= isUnit
	}
	for w := range numberWords() {
		m[w] |= isNumber
	}
	return m
})

// hasClass reports whether a lower-case word or stem is of the class.
func hasClass(w string, c class) bool { return lexicon()[w]&c != 0 }
