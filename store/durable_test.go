package store

import (
	"bufio"
	"crypto/rand"
	"fmt"
	"io"
	mrand "math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
	"fairladle/challenge/ledger"
	"fairladle/challenge/tasting"
)

// The child of the tests below is this test binary again: it works under load
// and prints a line for everything that was acknowledged to it.
const childOf = "FAIRLADLE_TEST_CHILD_OF"

func TestMain(m *testing.M) {
	if file := os.Getenv(childOf); file != "" {
		beUsed(file, os.Getenv("FAIRLADLE_TEST_SERIAL") != "")
		return
	}
	os.Exit(checkPlans(m.Run()))
}

// inUse is a data file with a challenge that takes entries and one that is
// being read, tasted and voted on, at the moment testStart.
type inUse struct {
	*bench
	entries, reading, tasting, vote challenge.Challenge
}

func prepareUse(t *testing.T) inUse {
	b := openBench(t)
	u := inUse{bench: b}
	u.reading, u.tasting, u.vote = u.past(1), u.past(5), u.past(6)
	b.at = testStart
	u.entries = b.open()
	require.NoError(t, b.Close())
	return u
}

// past is a challenge whose nth round is open at testStart.
func (u inUse) past(n int) challenge.Challenge {
	ctx := u.t.Context()
	u.at = testStart.AddDate(0, 0, -40)
	c := u.open()
	for i := range 4 {
		_, _, err := u.Submit(ctx, c.ID, "", submission(i), "", nil)
		require.NoError(u.t, err)
	}
	u.at = testStart.AddDate(0, 0, -20)
	for i := range n {
		if i == 5 {
			u.at = testStart.Add(-time.Hour)
		}
		require.NoError(u.t, u.OpenRound(ctx, u.host, c.ID, c.Rounds[i].ID))
		if i+1 < n {
			u.finish(c, c.Rounds[i])
		}
	}
	return u.reload(c)
}

func (u inUse) finish(c challenge.Challenge, r challenge.Round) {
	ctx, t := u.t.Context(), u.t
	in, err := u.DishesIn(ctx, r.ID)
	require.NoError(t, err)
	switch r.Kind {
	case challenge.Reading:
		for _, d := range in {
			require.NoError(t, u.Mark(ctx, u.host, c.ID, r.ID, Mark{Dish: d.ID, Mark: "keep"}))
		}
	case challenge.Pick:
		cohost := challenge.Actor{Role: challenge.Cohost, ID: 1, Challenge: c.ID}
		for _, d := range in[:2] {
			require.NoError(t, u.Choose(ctx, cohost, c.ID, r.ID, Choice{Dish: d.ID, Chosen: true, Reason: "good"}))
		}
		require.NoError(t, u.SealPick(ctx, cohost, c.ID, r.ID))
	case challenge.Draw:
		u.roll(c, r)
	case challenge.Cook:
		_, err := u.SaveHouseDish(ctx, u.host, c.ID, 0, "Host", "House soup\n\n1 leek\n\nBoil for 10 minutes.")
		require.NoError(t, err)
		dishes, err := u.HouseDishes(ctx, c.ID)
		require.NoError(t, err)
		require.NoError(t, u.AddPlate(ctx, u.host, c.ID, dishes[0].ID, Plate{Cook: "Host"}))
		plates, err := u.Plates(ctx, c.ID)
		require.NoError(t, err)
		for _, p := range plates {
			p.Cook = "Host"
			require.NoError(t, u.SavePlate(ctx, u.host, c.ID, p))
		}
	case challenge.Tasting:
		for i := range 3 {
			u.judge(c, r, i)
		}
	}
	closed, err := u.CloseRound(ctx, u.host, c.ID, r.ID)
	require.NoError(t, err)
	require.True(t, closed, r.Title)
}

func (u inUse) judge(c challenge.Challenge, r challenge.Round, i int) {
	token, err := u.Invite(u.t.Context(), u.host, c.ID, challenge.Judge, fmt.Sprintf("Judge %d", i), "")
	require.NoError(u.t, err)
	link, err := u.FollowLink(u.t.Context(), ForJudge, token)
	require.NoError(u.t, err)
	plates, err := u.TastingPlates(u.t.Context(), r.ID)
	require.NoError(u.t, err)
	for k, p := range plates {
		require.NoError(u.t, sealSheet(u.DB, c, r, link.Actor(), p.ID, 600+100*k))
	}
}

func sealSheet(db *DB, c challenge.Challenge, r challenge.Round, judge challenge.Actor, plate int64, score int) error {
	ans := Answers{Scores: map[string]tasting.Points{}}
	for _, crit := range c.Criteria {
		ans.Scores[crit.Key] = tasting.Points(score)
	}
	return db.SaveSheet(background, judge, c.ID, r.ID, plate, 0, ans, true)
}

// beUsed is the child: it acknowledges on standard output, one line a thing.
func beUsed(file string, serial bool) {
	db, err := Open(background, file, Options{Now: func() time.Time { return testStart }, Random: rand.Reader})
	if err != nil {
		fmt.Println("failed", err)
		os.Exit(3)
	}
	cs, err := db.Challenges(background)
	if err != nil {
		fmt.Println("failed", err)
		os.Exit(3)
	}
	var out sync.Mutex
	tell := func(format string, args ...any) {
		out.Lock()
		defer out.Unlock()
		fmt.Printf(format+"\n", args...)
	}
	run := os.Getpid()
	if serial {
		for i := range 20 {
			useEntries(db, find(cs, 0), run, i, tell)
		}
		return
	}
	var all sync.WaitGroup
	for w := range 6 {
		all.Go(func() {
			for i := 0; ; i++ {
				useEntries(db, find(cs, 0), run, i*6+w, tell)
			}
		})
	}
	all.Go(func() { useMarks(db, find(cs, 1), tell) })
	all.Go(func() { useSheets(db, find(cs, 5), tell) })
	all.Go(func() { useBallots(db, find(cs, 6), tell) })
	all.Wait()
}

// find is the challenge whose nth round is open; 0: none has opened.
func find(cs []challenge.Challenge, n int) challenge.Challenge {
	for _, c := range cs {
		opened := 0
		for _, r := range c.Rounds {
			if r.State != challenge.Planned {
				opened++
			}
		}
		if opened == n {
			return c
		}
	}
	panic("no such challenge")
}

func useEntries(db *DB, c challenge.Challenge, run, i int, tell func(string, ...any)) {
	s := submission(i)
	s.Email = fmt.Sprintf("c%d.%d@example.org", run, i)
	if number, _, err := db.Submit(background, c.ID, "", s, "", nil); err == nil {
		tell("entry %d %s", number, s.Email)
	}
}

func useMarks(db *DB, c challenge.Challenge, tell func(string, ...any)) {
	in, err := db.DishesIn(background, c.Rounds[0].ID)
	if err != nil {
		return
	}
	for i := 0; ; i++ {
		d := in[i%len(in)]
		note := fmt.Sprint(os.Getpid(), " ", i)
		if err := db.Mark(background, challenge.Actor{Role: challenge.Host, ID: 1}, c.ID, c.Rounds[0].ID, Mark{Dish: d.ID, Mark: "maybe", Note: note}); err == nil {
			tell("mark %d %s", d.ID, note)
		}
	}
}

func useSheets(db *DB, c challenge.Challenge, tell func(string, ...any)) {
	plates, err := db.TastingPlates(background, c.Rounds[4].ID)
	if err != nil {
		return
	}
	for {
		token, err := db.Invite(background, challenge.Actor{Role: challenge.Host, ID: 1}, c.ID, challenge.Judge, "J", "")
		if err != nil {
			continue
		}
		link, err := db.FollowLink(background, ForJudge, token)
		if err != nil {
			continue
		}
		for _, p := range plates {
			if sealSheet(db, c, c.Rounds[4], link.Actor(), p.ID, 750) == nil {
				tell("sheet %d %d", p.ID, link.Subject)
			}
		}
	}
}

func useBallots(db *DB, c challenge.Challenge, tell func(string, ...any)) {
	in, err := db.DishesIn(background, c.Rounds[5].ID)
	if err != nil {
		return
	}
	for {
		pass, err := db.NewToken()
		slip, err2 := db.NewToken()
		if err == nil && err2 == nil && db.CastBallot(background, c.ID, c.Rounds[5].ID, pass, slip, ballot.Ballot{in[0].ID}) == nil {
			tell("ballot %s", pass)
		}
	}
}

// TestAcknowledgedSurvivesKill kills a working process at random moments and
// looks for everything it had acknowledged: 5 times here, 200 times with
// FAIRLADLE_LONG=1.
func TestAcknowledgedSurvivesKill(t *testing.T) {
	u := prepareUse(t)
	kills := 5
	if os.Getenv("FAIRLADLE_LONG") != "" {
		kills = 200
	}
	kept := &acknowledged{marks: map[string]string{}}
	for range kills {
		u.killOnce(kept)
	}
	u.reopen()
	u.at = testStart
	kept.require(u)
	t.Logf("%d kills: %d entries, %d sheets and %d ballots had been acknowledged, all are there", kills, len(kept.entries), len(kept.sheets), len(kept.ballots))
}

func (u inUse) killOnce(kept *acknowledged) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childOf+"="+u.file)
	out, err := cmd.StdoutPipe()
	require.NoError(u.t, err)
	require.NoError(u.t, cmd.Start())
	lines := make(chan string, 1<<16)
	go func() {
		defer close(lines)
		in := bufio.NewReader(out)
		for {
			line, err := in.ReadString('\n')
			if err == nil {
				lines <- strings.TrimSpace(line)
			} else if err == io.EOF {
				return
			} else {
				return
			}
		}
	}()
	kept.add(u.t, <-lines) // it is at work
	time.Sleep(time.Duration(mrand.IntN(200)) * time.Millisecond)
	require.NoError(u.t, cmd.Process.Signal(syscall.SIGKILL))
	for line := range lines {
		kept.add(u.t, line)
	}
	require.Error(u.t, cmd.Wait())
}

type acknowledged struct {
	entries, sheets, ballots []string
	marks                    map[string]string // newest note by dish
}

func (k *acknowledged) add(t *testing.T, line string) {
	kind, rest, _ := strings.Cut(line, " ")
	switch kind {
	case "entry":
		k.entries = append(k.entries, rest)
	case "sheet":
		k.sheets = append(k.sheets, rest)
	case "ballot":
		k.ballots = append(k.ballots, rest)
	case "mark":
		dish, note, _ := strings.Cut(rest, " ")
		k.marks[dish] = note
	default:
		t.Fatalf("the child said %q", line)
	}
}

// require finds everything acknowledged, and nothing half done.
func (k *acknowledged) require(u inUse) {
	t := u.t
	for _, e := range k.entries {
		number, email, _ := strings.Cut(e, " ")
		n, err := strconv.Atoi(number)
		require.NoError(t, err)
		dish, err := u.EntryByNumber(t.Context(), u.entries.ID, n)
		require.NoError(t, err, "entry %s", e)
		o, err := u.OwnEntry(t.Context(), challenge.Actor{Role: challenge.Entrant, ID: dish, Challenge: u.entries.ID})
		require.NoError(t, err)
		require.Equal(t, email, o.Email)
	}
	for _, s := range k.sheets {
		plate, judge, _ := strings.Cut(s, " ")
		var sealed int
		require.NoError(t, u.reads.QueryRow(`SELECT count(*) FROM sheet WHERE plate_id = ? AND judge_id = ? AND sealed_at > 0`, plate, judge).Scan(&sealed))
		require.Equal(t, 1, sealed, "sheet %s", s)
	}
	var passes, ballots int
	require.NoError(t, u.reads.QueryRow(`SELECT (SELECT count(*) FROM voting_pass), (SELECT count(*) FROM ballot)`).Scan(&passes, &ballots))
	require.Equal(t, passes, ballots, "a pass without its ballot, or the other way round")
	require.GreaterOrEqual(t, ballots, len(k.ballots))
	k.requireMarks(u)
	var entries, counted int
	require.NoError(t, u.reads.QueryRow(`SELECT (SELECT count(*) FROM entry WHERE challenge_id = c.id), entries FROM challenge c WHERE id = ?`, u.entries.ID).Scan(&entries, &counted))
	require.Equal(t, entries, counted)
	for _, c := range []challenge.Challenge{u.entries, u.reading, u.tasting, u.vote} {
		found, err := u.CheckLedger(t.Context(), c.ID)
		require.NoError(t, err)
		for _, f := range found {
			require.Equal(t, ledger.Holds, f.State, "%s leaf %d", c.Slug, f.Index)
		}
	}
}

// requireMarks: the mark kept is the newest acknowledged one, or one that was
// saved after it and whose acknowledgement the kill cut off.
func (k *acknowledged) requireMarks(u inUse) {
	for dish, note := range k.marks {
		var kept string
		require.NoError(u.t, u.reads.QueryRow(`SELECT note FROM mark WHERE round_id = ? AND dish_id = ?`, u.reading.Rounds[0].ID, dish).Scan(&kept))
		var pid, said, keptPid, has int
		_, err := fmt.Sscan(note, &pid, &said)
		require.NoError(u.t, err)
		_, err = fmt.Sscan(kept, &keptPid, &has)
		require.NoError(u.t, err)
		require.True(u.t, keptPid != pid || has >= said, "acknowledged %q, kept %q", note, kept)
	}
}

// TestSyncBeforeAcknowledgement watches the system calls of a process that
// sends one entry after the other: between two acknowledgements the log must
// have been flushed to the disk. Killing alone cannot show this, since the
// kernel keeps what was written.
func TestSyncBeforeAcknowledgement(t *testing.T) {
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Skip("strace is not installed here, so it was not watched that the disk is flushed before an acknowledgement")
	}
	u := prepareUse(t)
	trace := filepath.Join(t.TempDir(), "trace")
	cmd := exec.Command(strace, "-f", "-o", trace, "-e", "trace=fsync,fdatasync,write", "-e", "signal=none", os.Args[0])
	cmd.Env = append(os.Environ(), childOf+"="+u.file, "FAIRLADLE_TEST_SERIAL=1")
	if out, err := cmd.CombinedOutput(); err != nil {
		u.reopen()
		t.Skipf("a process cannot be traced here: %v: %.200s", err, out)
	}
	b, err := os.ReadFile(trace)
	require.NoError(t, err)
	flushed, acknowledgements := 0, 0
	for line := range strings.Lines(string(b)) {
		switch {
		case strings.Contains(line, "sync") && strings.Contains(line, "= 0"):
			flushed++
		case strings.Contains(line, `write(1, "entry `):
			acknowledgements++
			require.Positive(t, flushed, "acknowledged before the disk had it: %s", line)
			flushed = 0
		}
	}
	require.Equal(t, 20, acknowledgements)
	u.reopen()
}

// TestTornLogIsRecovered cuts the log of an unclean end at every length from
// whole to nothing: each opens, with a beginning of what was written and a
// ledger that holds.
func TestTornLogIsRecovered(t *testing.T) {
	u := prepareUse(t)
	kept := &acknowledged{marks: map[string]string{}}
	u.killOnce(kept)
	wal, err := os.ReadFile(u.file + "-wal")
	require.NoError(t, err)
	main, err := os.ReadFile(u.file)
	require.NoError(t, err)
	last := -1
	for _, part := range []int{0, 1, 3, 5, 7, 9, 10} {
		dir := t.TempDir()
		file := filepath.Join(dir, "torn.db")
		require.NoError(t, os.WriteFile(file, main, 0o600))
		require.NoError(t, os.WriteFile(file+"-wal", wal[:len(wal)*part/10], 0o600))
		db, err := Open(t.Context(), file, u.options())
		require.NoError(t, err, "%d tenths of the log", part)
		c, err := db.Challenge(t.Context(), u.entries.ID)
		require.NoError(t, err)
		require.GreaterOrEqual(t, c.Entries, last)
		last = c.Entries
		found, err := db.CheckLedger(t.Context(), c.ID)
		require.NoError(t, err)
		require.Len(t, found, c.Entries+1, "an entry and its leaf are one unit")
		require.NoError(t, db.Close())
	}
	require.GreaterOrEqual(t, last, len(kept.entries), "the whole log holds everything acknowledged")
	u.reopen()
}
