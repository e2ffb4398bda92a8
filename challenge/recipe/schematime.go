package recipe

import (
	"strconv"
	"strings"
)

// minutes reads an ISO 8601 duration ("PT1H30M", "P1DT2H", "P0Y0M0DT0H35M0.000S")
// and, since pages write anything, also "1 hour 30 minutes" and a bare number of
// minutes.
func minutes(s string) (float64, bool) {
	s = strings.TrimSpace(s)
	if s == "" || len(s) > 60 {
		return 0, false
	}
	if min, ok := isoMinutes(s); ok {
		return min, true
	}
	if n, err := strconv.ParseFloat(s, 64); err == nil && n > 0 && n < 1e6 {
		return n, true
	}
	r := readers.Get().(*reader)
	defer readers.Put(r)
	r.text, r.low = s, lowASCII(s)
	total := 0.0
	for _, d := range r.durations(r.scan(0, len(s))) {
		total += d.MaxMinutes
	}
	r.text, r.low = "", ""
	return total, total > 0
}

func isoMinutes(s string) (float64, bool) {
	up := strings.ToUpper(s)
	if !strings.HasPrefix(up, "P") {
		return 0, false
	}
	total, inTime, any := 0.0, false, false
	for i := 1; i < len(up); {
		if up[i] == 'T' {
			inTime = true
			i++
			continue
		}
		j := i
		for j < len(up) && (up[j] >= '0' && up[j] <= '9' || up[j] == '.' || up[j] == ',') {
			j++
		}
		n, err := strconv.ParseFloat(strings.Replace(up[i:j], ",", ".", 1), 64)
		if err != nil || j >= len(up) && !any {
			return 0, false
		}
		unit := byte('M') // "PT1H30"
		if j < len(up) {
			unit = up[j]
		}
		switch {
		case unit == 'H':
			total += n * 60
		case unit == 'M' && inTime:
			total += n
		case unit == 'S':
			total += n / 60
		case unit == 'D':
			total += n * 1440
		case unit == 'W':
			total += n * 10080
		case unit == 'M':
			total += n * 43200
		case unit == 'Y':
			total += n * 525600
		default:
			return 0, false
		}
		any = true
		i = j + 1
	}
	return total, any && total < 1e7
}

// isoDuration writes minutes as an ISO 8601 duration.
func isoDuration(min float64) string {
	whole := int64(min)
	out := "P"
	if d := whole / 1440; d > 0 {
		out += strconv.FormatInt(d, 10) + "D"
		whole -= d * 1440
	}
	rest := ""
	if h := whole / 60; h > 0 {
		rest += strconv.FormatInt(h, 10) + "H"
	}
	if m := whole % 60; m > 0 {
		rest += strconv.FormatInt(m, 10) + "M"
	}
	if s := int64((min - float64(int64(min))) * 60); s > 0 {
		rest += strconv.FormatInt(s, 10) + "S"
	}
	if rest != "" {
		out += "T" + rest
	}
	if out == "P" {
		return "PT0M"
	}
	return out
}
