package text

import (
	"fmt"
	"time"

	"golang.org/x/text/language"

	"fairladle/challenge/wording"
)

// A calendar is how a language writes days, and its decimal sign.
type calendar struct {
	months, monthsShort [12]string
	days, daysShort     [7]string
	dayDot, comma       bool              // "24." and "1,5"
	zones               map[string]string // names of zones, where people use others than the zone file's
}

var calendars = map[language.Tag]calendar{
	language.English: {
		months:      [12]string{"January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"},
		monthsShort: [12]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"},
		days:        [7]string{"Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"},
		daysShort:   [7]string{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"},
	},
	language.German: {
		months:      [12]string{"Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September", "Oktober", "November", "Dezember"},
		monthsShort: [12]string{"Jan.", "Feb.", "März", "Apr.", "Mai", "Juni", "Juli", "Aug.", "Sept.", "Okt.", "Nov.", "Dez."},
		days:        [7]string{"Sonntag", "Montag", "Dienstag", "Mittwoch", "Donnerstag", "Freitag", "Samstag"},
		daysShort:   [7]string{"So.", "Mo.", "Di.", "Mi.", "Do.", "Fr.", "Sa."},
		dayDot:      true, comma: true,
		zones: map[string]string{"CET": "MEZ", "CEST": "MESZ", "EET": "OEZ", "EEST": "OESZ", "WET": "WEZ", "WEST": "WESZ"},
	},
}

func (v Voice) calendar() calendar { return calendars[v.Tag] }

func (c calendar) day(t time.Time) string {
	if c.dayDot {
		return fmt.Sprintf("%d.", t.Day())
	}
	return fmt.Sprint(t.Day())
}

func (c calendar) zone(t time.Time) string {
	name, _ := t.Zone()
	if own, ok := c.zones[name]; ok {
		return own
	}
	return name
}

// Date writes a day: 24 November 2026.
func (v Voice) Date(t time.Time) string {
	c, t := v.calendar(), t.In(v.zone)
	return fmt.Sprintf("%s %s %d", c.day(t), c.months[t.Month()-1], t.Year())
}

// Month writes a month: November 2026.
func (v Voice) Month(t time.Time) string {
	t = t.In(v.zone)
	return fmt.Sprintf("%s %d", v.calendar().months[t.Month()-1], t.Year())
}

// Day writes a day without its year: Tuesday 24 November.
func (v Voice) Day(t time.Time) string {
	c, t := v.calendar(), t.In(v.zone)
	name := c.days[t.Weekday()]
	if c.dayDot {
		name += ","
	}
	return fmt.Sprintf("%s %s %s", name, c.day(t), c.months[t.Month()-1])
}

// Moment writes a day and time with its zone: Tue 24 Nov 2026, 18:00 CET.
func (v Voice) Moment(t time.Time) string {
	if t.IsZero() {
		return v.T("not set")
	}
	c, t := v.calendar(), t.In(v.zone)
	return fmt.Sprintf("%s %s %s %d, %s %s", c.daysShort[t.Weekday()], c.day(t), c.monthsShort[t.Month()-1], t.Year(), t.Format("15:04"), c.zone(t))
}

// Clock writes a time of day: 18:00.
func (v Voice) Clock(t time.Time) string { return t.In(v.zone).Format("15:04") }

// Until writes how long it is from now to t in its largest unit: "in 3 days".
func (v Voice) Until(now, t time.Time) string {
	d := t.Sub(now)
	past := d < 0
	if past {
		d = -d
	}
	n, one, many := max(1, int(d.Minutes())), wording.Key("in one minute"), wording.Key("in %v minutes")
	if past {
		one, many = wording.Key("one minute ago"), wording.Key("%v minutes ago")
	}
	switch {
	case d >= 48*time.Hour && past:
		n, one, many = int(d.Hours()/24), wording.Key("one day ago"), wording.Key("%v days ago")
	case d >= 48*time.Hour:
		n, one, many = int(d.Hours()/24), wording.Key("in one day"), wording.Key("in %v days")
	case d >= time.Hour && past:
		n, one, many = int(d.Hours()), wording.Key("one hour ago"), wording.Key("%v hours ago")
	case d >= time.Hour:
		n, one, many = int(d.Hours()), wording.Key("in one hour"), wording.Key("in %v hours")
	}
	return v.N(n, one, many)
}

// Minutes writes a length of time: 1 h 20 min.
func (v Voice) Minutes(m int) string {
	switch {
	case m >= 2*24*60:
		return v.N(m/(24*60), "one day", "%v days")
	case m < 60:
		return v.T("%v min", m)
	case m%60 == 0:
		return v.T("%v h", m/60)
	}
	return v.T("%v h %v min", m/60, m%60)
}
