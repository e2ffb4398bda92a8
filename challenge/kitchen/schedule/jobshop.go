package schedule

import (
	"bufio"
	"fmt"
	"io"
	"strings"
)

// ReadJobShop reads "jobs machines", then one line for each job with pairs of
// machine (from 0) and duration. Lines that start with # are skipped. Task
// number j*machines+k is the k-th step of job j; the level is the makespan.
func ReadJobShop(r io.Reader) (*Problem, error) {
	var rows [][]int
	scan := bufio.NewScanner(r)
	scan.Buffer(nil, 1<<20)
	for scan.Scan() {
		text := strings.TrimSpace(scan.Text())
		if text == "" || text[0] == '#' {
			continue
		}
		nums, ok := numbers(text)
		if !ok {
			return nil, fmt.Errorf("%w: line %q", ErrFormat, text)
		}
		rows = append(rows, nums)
	}
	if err := scan.Err(); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrFormat, err)
	}
	if len(rows) == 0 || len(rows[0]) != 2 || rows[0][0] != len(rows)-1 || rows[0][1] < 0 || rows[0][1] > 1000 {
		return nil, fmt.Errorf("%w: the first line does not match the number of jobs", ErrFormat)
	}
	return jobShop(rows[1:], rows[0][1])
}

func jobShop(rows [][]int, machines int) (*Problem, error) {
	p := &Problem{}
	for m := range machines {
		p.Resources = append(p.Resources, Resource{Name: fmt.Sprintf("machine %d", m), Capacity: 1})
	}
	for j, row := range rows {
		if len(row)%2 != 0 {
			return nil, fmt.Errorf("%w: job %d has half a pair", ErrFormat, j)
		}
		for k := 0; k < len(row); k += 2 {
			i := p.Add(Task{
				Name:     fmt.Sprintf("%d.%d", j, k/2),
				Duration: row[k+1],
				Needs:    []Need{{Resource: row[k], Amount: 1, State: NoState}},
			})
			if k > 0 {
				p.Arcs = append(p.Arcs, Arc{From: i - 1, To: i, Wait: row[k-1]})
			}
			p.Horizon += row[k+1]
		}
	}
	p.Levels = []Level{p.Makespan()}
	if err := p.Validate(); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrFormat, err)
	}
	return p, nil
}
