package challenge

import "time"

// MayBringIn says whether the host may bring in entries that came by mail or
// as files, as a refusal that names the reason. Mail is often read after the
// closing time, so what counts is that no round has opened: from then on it is
// fixed what takes part.
func (c Challenge) MayBringIn(now time.Time) error {
	switch c.Stage(now) {
	case Draft:
		return Refuse(Shut, "", "Announce the challenge first. Then recipes that came by mail or as files can be brought in.")
	case Waiting:
		return Refuse(Shut, "", "The challenge is not open yet. Recipes can be brought in from the opening time on.")
	}
	for _, r := range c.Rounds {
		if r.State != Planned {
			return Refuse(Shut, "", "A round has opened, so it is fixed which recipes take part. No more can be brought in.")
		}
	}
	return nil
}
