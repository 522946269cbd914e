package work

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivermigrate"
	"github.com/riverqueue/river/rivertype"

	"slatewright/internal/jobs"
	"slatewright/internal/ledger"
)

// turnArgs is a turn on its way through River.
type turnArgs struct {
	Site string `json:"site"`
	Job  string `json:"job"`
	Turn int64  `json:"turn"`
}

// Kind is the name of such a way in River's table.
func (turnArgs) Kind() string { return "slice" }

// Priorities in River: 1 is worked first.
const (
	inFront = 1
	inTurn  = 2
)

// riverLine is the line of turns between the programs on one PostgreSQL.
type riverLine struct {
	*jobs.Crew
	client *river.Client[pgx.Tx]
	site   string
	queue  string
}

func openRiver(ctx context.Context, h ledger.Handles, s jobs.Store, o jobs.Options, workers []jobs.Worker) (_ *Queue, err error) {
	l := &riverLine{site: h.Site, queue: queueOf(h.Site)}
	l.Crew = jobs.NewCrew(s, l, o, workers...)
	pool, err := poolBeside(ctx, h.Write, int32(l.Options().Hands))
	if err != nil {
		return nil, fmt.Errorf("work: %w", err)
	}
	driver := riverpgxv5.New(pool)
	if err = migrate(ctx, pool, driver, l.Options()); err == nil {
		l.client, err = river.NewClient(driver, l.config())
	}
	if err != nil {
		pool.Close()
		return nil, fmt.Errorf("work: %w", err)
	}
	return &Queue{l, pool.Close}, nil
}

// queueOf is the name of a mill's queue: a hash, because River's names have fewer forms than a mill's word.
func queueOf(site string) string {
	sum := sha256.Sum256([]byte(site))
	return "mill-" + hex.EncodeToString(sum[:8])
}

// beside is how many connections River itself keeps busy: one listens, others fetch, insert and complete.
const beside = 4

// poolBeside opens a pool to the database that db is connected to, with the same parameters.
func poolBeside(ctx context.Context, db *sql.DB, hands int32) (*pgxpool.Pool, error) {
	conn, err := db.Conn(ctx)
	if err != nil {
		return nil, err
	}
	defer conn.Close()
	var same *pgx.ConnConfig
	if err := conn.Raw(func(driver any) error { same = driver.(*stdlib.Conn).Conn().Config(); return nil }); err != nil {
		return nil, err
	}
	config, err := pgxpool.ParseConfig(same.ConnString())
	if err != nil {
		return nil, err
	}
	config.ConnConfig.RuntimeParams, config.MaxConns = same.RuntimeParams, hands+beside
	return pgxpool.NewWithConfig(ctx, config)
}

// migrate makes or updates River's own tables. Programs that open at the same time do it one after the other.
func migrate(ctx context.Context, pool *pgxpool.Pool, driver *riverpgxv5.Driver, o jobs.Options) error {
	m, err := rivermigrate.New(driver, &rivermigrate.Config{Logger: quiet(o.Log)})
	if err != nil {
		return err
	}
	lock, err := pool.Acquire(ctx)
	if err != nil {
		return err
	}
	defer lock.Release()
	const key = 0x736c617465 // "slate"
	if _, err := lock.Exec(ctx, "select pg_advisory_lock($1)", key); err != nil {
		return err
	}
	defer lock.Exec(context.WithoutCancel(ctx), "select pg_advisory_unlock($1)", key)
	_, err = m.Migrate(ctx, rivermigrate.DirectionUp, nil)
	return err
}

// config is how River works here. A turn is tried once: whether a slice is done again is decided by the table of jobs, long
// before River's rescuer would come.
func (l *riverLine) config() *river.Config {
	o := l.Options()
	workers := river.NewWorkers()
	river.AddWorker(workers, courier{crew: l.Crew})
	timeout := o.Slice + 30*time.Second // settles a slice that used all its time
	return &river.Config{
		Queues:                      map[string]river.QueueConfig{l.queue: {MaxWorkers: o.Hands}},
		Workers:                     workers,
		Logger:                      quiet(o.Log),
		MaxAttempts:                 1,
		FetchCooldown:               5 * time.Millisecond, // its default of 100 ms would be a pause between any two slices
		FetchPollInterval:           time.Second,
		JobTimeout:                  timeout,
		RescueStuckJobsAfter:        2 * timeout,
		CompletedJobRetentionPeriod: 10 * time.Minute,
		CancelledJobRetentionPeriod: time.Hour,
		DiscardedJobRetentionPeriod: time.Hour,
		ReindexerIndexNames:         []string{},
	}
}

// Put puts a turn in the line.
func (l *riverLine) Put(ctx context.Context, t jobs.Turn, urgent bool) (stuck bool, err error) {
	o := &river.InsertOpts{Queue: l.queue, Priority: inTurn, UniqueOpts: river.UniqueOpts{ByArgs: true, ByState: []rivertype.JobState{
		rivertype.JobStateAvailable, rivertype.JobStatePending, rivertype.JobStateRunning, rivertype.JobStateScheduled}}}
	if urgent {
		o.Priority = inFront
	}
	r, err := l.client.Insert(ctx, turnArgs{l.site, t.Job, t.Number}, o)
	if err != nil {
		return false, err
	}
	return r.UniqueSkippedAsDuplicate && r.Job.State == rivertype.JobStateRunning, nil
}

// courier hands what River brings to the crew.
type courier struct {
	river.WorkerDefaults[turnArgs]
	crew *jobs.Crew
}

func (c courier) Work(ctx context.Context, j *river.Job[turnArgs]) error {
	return c.crew.Work(ctx, jobs.Turn{Job: j.Args.Job, Number: j.Args.Turn})
}

// stopping is how long River may take to end.
const stopping = 20 * time.Second

// Run works until ctx ends.
func (l *riverLine) Run(ctx context.Context) error {
	if err := l.client.Start(context.WithoutCancel(ctx)); err != nil {
		return fmt.Errorf("work: %w", err)
	}
	l.Sweep(ctx)
	stop, done := context.WithTimeout(context.WithoutCancel(ctx), stopping)
	defer done()
	return l.client.StopAndCancel(stop)
}
