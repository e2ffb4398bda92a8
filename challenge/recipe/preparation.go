package recipe

// leadingNote moves "(or less)" from before the name into the notes.
func (r *reader) leadingNote(t []token, p, to int, rest *restBuilder) int {
	if p >= to || t[p].c != '(' {
		return p
	}
	for q := p + 1; q < to; q++ {
		if t[q].c == ')' {
			if q+1 >= to || t[q+1].k != word {
				return p
			}
			rest.note(r.phrase(t, p+1, q))
			return r.skipFiller(t, q+1, to)
		}
	}
	return p
}

// quantityWords skips "little", "good bit of", "few", which give no number.
func (r *reader) quantityWords(t []token, p int) int {
	q := p
	for r.word(t, q) == "good" || r.word(t, q) == "little" {
		q++
	}
	switch r.word(t, q) {
	case "few", "bit", "lot", "lots", "couple", "plenty":
		return q + 1
	}
	if r.word(t, p) == "little" && q == p+1 {
		return q
	}
	return p
}

// unitOf skips "sprigs of" after "a few", where no number goes with the unit.
func (r *reader) unitOf(t []token, q int) int {
	if _, next, ok := r.unit(t, q); ok && r.word(t, next) == "of" {
		return next + 1
	}
	return q
}

// pieceOf skips "piece of": a piece is no unit.
func (r *reader) pieceOf(t []token, p int) int {
	switch r.word(t, p) {
	case "piece", "pieces", "chunk", "lump", "bit", "bits", "nub":
		if r.word(t, p+1) == "of" {
			return p + 2
		}
		if p+1 < len(t) && t[p+1].k == word && t[p+1].cls&(isStop|isPrep) == 0 && r.knownFood(t, p+1) { // 8 pieces chicken
			return p + 1
		}
	}
	return p
}

// leadingPreparation moves "finely chopped", "large", "peeled and diced" from
// before the name.
func (r *reader) leadingPreparation(t []token, p, to int, in *Ingredient, rest *restBuilder) int {
	for p < to {
		if t[p].cls&isSize != 0 && p+1 < to {
			q := p + 1
			if w := r.word(t, q); w == "grain" || w == "dry" || w == "fat" || w == "rare" {
				return p // medium grain rice
			}
			if t[q].k == dash && !t[q].space && !(q+1 < to && (t[q+1].cls&isSize != 0 || r.word(t, q+1) == "sized" || r.word(t, q+1) == "size")) {
				return p // medium-firm
			}
			for q < to && !(t[q].cls&isSize != 0 && q+2 < to && t[q+1].k == dash && !t[q+1].space && t[q+2].cls&isSize == 0 && r.word(t, q+2) != "sized") && (t[q].k == dash || t[q].c == '.' && !t[q].space || r.word(t, q) == "sized" || r.word(t, q) == "size" || (r.word(t, q) == "to" || r.word(t, q) == "or" || t[q].c == '/') && q+1 < to && t[q+1].cls&isSize != 0 || t[q].cls&isSize != 0) {
				q++
			}
			if q >= to || t[q].k != word && t[q].c != ',' && t[q].c != '(' {
				return p
			}
			if in.Size == "" {
				in.Size = r.phrase(t, p, q)
			}
			p = q
			if t[p].c == ',' {
				p++
			}
			continue
		}
		if t[p].k == word && p+2 < to && (r.word(t, p+1) == "sized" || t[p+1].k == dash && r.word(t, p+2) == "sized") { // reasonably sized
			q := p + 2
			if t[p+1].k == dash {
				q = p + 3
			}
			in.Size, p = r.phrase(t, p, q), q
			continue
		}
		q := r.preparationRun(t, p, to)
		if q == p || q >= to || !r.nounAfter(t, q, to) || r.keepsPreparation(t, p, q, to) {
			return p
		}
		rest.prep(r.phrase(t, p, q))
		if in.Unit == "" && !in.Amount.IsZero() { // 3 peeled cloves garlic
			if u, next, ok := r.unit(t, q); ok && next < to && (t[next].k == word) && (postposed[r.word(t, q)] != "" || r.word(t, next) == "of") {
				in.Unit = u
				p = r.skipFiller(t, next, to)
				continue
			}
		}
		if t[q].c == ',' {
			q++
		}
		p = q
		if r.word(t, p) == "of" {
			p++
		}
	}
	return p
}

// nounAfter reports whether a name can start at token q.
func (r *reader) nounAfter(t []token, q, to int) bool {
	if t[q].c == ',' {
		q++
	}
	return q < to && t[q].k == word && (t[q].cls&isStop == 0)
}

// keepsPreparation: minced or ground meat is bought like that, and so are hot
// sauce and crushed tomatoes.
func (r *reader) keepsPreparation(t []token, p, q, to int) bool {
	if q != p+1 {
		return false
	}
	next := r.word(t, q)
	switch r.word(t, p) {
	case "minced":
		switch next {
		case "beef", "lamb", "pork", "meat", "turkey", "chicken", "veal":
			return true
		}
	case "hot":
		switch next {
		case "sauce", "pepper", "peppers", "chili", "chilli", "chile", "dog", "dogs", "paprika", "mustard", "italian", "curry", "chilies", "chiles":
			return true
		}
	case "crushed":
		switch next {
		case "tomatoes", "red", "tomato", "pineapple", "chili", "chilli":
			return true
		}
	case "whipped", "sieved", "strained", "roasted":
		switch next {
		case "cream", "tomatoes", "peanuts", "yogurt":
			return true
		}
	case "split":
		return next == "peas" || next == "lentils" || next == "pea"
	case "cold", "warm":
		return next == "cuts"
	case "baked", "fried", "refried":
		switch next {
		case "beans", "onions", "shallots":
			return true
		}
	}
	return false
}

// preparationRun gives the end of a run like "peeled and very finely chopped"
// at p, or p where there is none.
func (r *reader) preparationRun(t []token, p, to int) int {
	end := p
	for q := p; q < to; {
		switch {
		case q+2 < to && t[q].k == word && t[q+1].k == dash && !t[q+1].space && !t[q+2].space && t[q+2].cls&isPrep != 0 &&
			(t[q+2].cls&isKeep == 0 || r.word(t, q) == "un" || r.word(t, q) == "pre" || r.word(t, q) == "par"):
			q += 3 // fresh-squeezed
			end = q
		case t[q].cls&isPrep != 0 && t[q].k == word:
			q++
			end = q
		case t[q].cls&isAdverb != 0:
			q++
		case q > p && (r.word(t, q) == "and" || r.word(t, q) == "or" || t[q].c == '&' || t[q].c == ',' || t[q].k == dash || t[q].c == '/') &&
			q+1 < to && t[q+1].cls&(isPrep|isAdverb) != 0:
			q++
		case q > p && t[q].k == dash && !t[q].space:
			q++
		case r.word(t, q) == "room" && r.word(t, q+1) == "temperature":
			q += 2
			end = q
		default:
			return end
		}
	}
	return end
}
