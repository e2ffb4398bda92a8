package panel

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Abilities is a fitted Bradley-Terry model: x beats y with probability
// 1/(1 + exp(Log[y] - Log[x])).
type Abilities struct {
	Log      []float64 // log ability; the last item's is 0
	SE       []float64 // of Log; the last one's is 0
	Share    []float64 // abilities scaled to add up to 1
	Deviance float64   // G^2 over the pairs that met
	DF       int
}

// ErrUndefeated is returned where some items never lost to the others, or never
// met them: their ability has no finite estimate.
var ErrUndefeated = errors.New("some items never lost to the others, or never met them")

// BradleyTerry fits by Newton's method; wins[x][y] is how often x beat y.
// (R. A. Bradley, M. E. Terry, Biometrika 39, 1952; existence: L. R. Ford,
// American Mathematical Monthly 64, 1957; both from memory.)
func BradleyTerry(wins [][]float64) (Abilities, error) {
	n := len(wins)
	if n < 2 {
		return Abilities{}, ErrTooSmall
	}
	if !reaches(wins, false) || !reaches(wins, true) {
		return Abilities{}, ErrUndefeated
	}
	a := Abilities{Log: make([]float64, n), SE: make([]float64, n)}
	for range 100 {
		step, inverse, err := newton(wins, a.Log)
		if err != nil {
			return Abilities{}, err
		}
		largest := 0.
		for i := range n - 1 {
			a.Log[i] += step.AtVec(i)
			a.SE[i] = math.Sqrt(inverse.At(i, i))
			largest = math.Max(largest, math.Abs(step.AtVec(i)))
		}
		if largest < 1e-12 {
			break
		}
	}
	a.finish(wins)
	return a, nil
}

// newton is one step of the log abilities but the last, and the inverse of the
// information there.
func newton(wins [][]float64, log []float64) (step *mat.VecDense, inverse *mat.SymDense, err error) {
	n := len(wins) - 1
	information, score := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for x := range n {
		var g, h float64
		for y := range wins {
			games := wins[x][y] + wins[y][x]
			if x == y || games == 0 {
				continue
			}
			p := 1 / (1 + math.Exp(log[y]-log[x]))
			g += wins[x][y] - games*p
			h += games * p * (1 - p)
			if y < n {
				information.SetSym(x, y, -games*p*(1-p))
			}
		}
		information.SetSym(x, x, h)
		score.SetVec(x, g)
	}
	var chol mat.Cholesky
	if !chol.Factorize(information) {
		return nil, nil, ErrUndefeated
	}
	step, inverse = mat.NewVecDense(n, nil), mat.NewSymDense(n, nil)
	if err := chol.SolveVecTo(step, score); err != nil {
		return nil, nil, err
	}
	return step, inverse, chol.InverseTo(inverse)
}

func (a *Abilities) finish(wins [][]float64) {
	total := 0.
	for _, l := range a.Log {
		total += math.Exp(l)
	}
	a.DF = 1 - len(wins)
	for x, l := range a.Log {
		a.Share = append(a.Share, math.Exp(l)/total)
		for y := range x {
			games := wins[x][y] + wins[y][x]
			if games == 0 {
				continue
			}
			a.DF++
			p := 1 / (1 + math.Exp(a.Log[y]-l))
			a.Deviance += deviance(wins[x][y], games*p) + deviance(wins[y][x], games*(1-p))
		}
	}
}

func deviance(observed, expected float64) float64 {
	if observed == 0 {
		return 0
	}
	return 2 * observed * math.Log(observed/expected)
}

// reaches reports whether item 0 leads to every other by wins, or (back) they
// lead to it.
func reaches(wins [][]float64, back bool) bool {
	seen := make([]bool, len(wins))
	seen[0] = true
	queue := []int{0}
	for n := 0; n < len(queue); n++ {
		x := queue[n]
		for y := range wins {
			won := wins[x][y]
			if back {
				won = wins[y][x]
			}
			if won > 0 && !seen[y] {
				seen[y] = true
				queue = append(queue, y)
			}
		}
	}
	return len(queue) == len(wins)
}
