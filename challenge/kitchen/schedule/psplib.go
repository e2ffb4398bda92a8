package schedule

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// ErrFormat is wrapped by every complaint about an instance file.
var ErrFormat = errors.New("schedule: instance file")

// ReadPSPLIB reads a single-mode instance in the .sm format of PSPLIB (R.
// Kolisch, A. Sprecher, European J. of Operational Research 96, 1997): tasks in
// the file's order with precedence and renewable resources, the level is the
// makespan, the horizon the sum of the durations.
func ReadPSPLIB(r io.Reader) (*Problem, error) {
	f := smFile{p: &Problem{}}
	scan := bufio.NewScanner(r)
	scan.Buffer(nil, 1<<20)
	for scan.Scan() {
		if err := f.line(scan.Text()); err != nil {
			return nil, err
		}
	}
	if err := scan.Err(); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrFormat, err)
	}
	return f.finish()
}

// smFile collects the blocks of one file.
type smFile struct {
	p     *Problem
	block string
	after [][]int // by task: successors, from 1
}

func (f *smFile) line(text string) error {
	for _, b := range []string{"PRECEDENCE RELATIONS", "REQUESTS/DURATIONS", "RESOURCEAVAILABILITIES", "PROJECT INFORMATION"} {
		if strings.HasPrefix(text, b) {
			f.block = b
			return nil
		}
	}
	nums, ok := numbers(text)
	if !ok || len(nums) == 0 {
		return nil
	}
	switch f.block {
	case "PRECEDENCE RELATIONS":
		if len(nums) < 3 || nums[0] != len(f.after)+1 || nums[1] != 1 || len(nums) != 3+nums[2] {
			return fmt.Errorf("%w: precedence line %q", ErrFormat, text)
		}
		f.after = append(f.after, nums[3:])
	case "REQUESTS/DURATIONS":
		if len(nums) < 3 || nums[0] != len(f.p.Tasks)+1 || nums[1] != 1 {
			return fmt.Errorf("%w: request line %q", ErrFormat, text)
		}
		t := Task{Name: strconv.Itoa(nums[0]), Duration: nums[2]}
		for k, a := range nums[3:] {
			if a != 0 {
				t.Needs = append(t.Needs, Need{Resource: k, Amount: a, State: NoState})
			}
		}
		f.p.Horizon += t.Duration
		f.p.Tasks = append(f.p.Tasks, t)
	case "RESOURCEAVAILABILITIES":
		for k, c := range nums {
			f.p.Resources = append(f.p.Resources, Resource{Name: fmt.Sprintf("R%d", k+1), Capacity: c})
		}
	}
	return nil
}

func (f *smFile) finish() (*Problem, error) {
	if len(f.p.Tasks) == 0 || len(f.after) != len(f.p.Tasks) {
		return nil, fmt.Errorf("%w: %d tasks but %d precedence lines", ErrFormat, len(f.p.Tasks), len(f.after))
	}
	for i, list := range f.after {
		for _, j := range list {
			f.p.Arcs = append(f.p.Arcs, Arc{From: i, To: j - 1, Wait: f.p.Tasks[i].Duration})
		}
	}
	f.p.Levels = []Level{f.p.Makespan()}
	if err := f.p.Validate(); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrFormat, err)
	}
	return f.p, nil
}

// numbers reads a line that consists of whole numbers only.
func numbers(text string) ([]int, bool) {
	var out []int
	for _, w := range strings.Fields(text) {
		n, err := strconv.Atoi(w)
		if err != nil {
			return nil, false
		}
		out = append(out, n)
	}
	return out, true
}
