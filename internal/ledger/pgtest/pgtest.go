// Package pgtest gives tests a PostgreSQL of their own: a private cluster in a temporary folder, reached by a Unix socket, with a
// fresh database for each test. It is imported by tests only. It keeps nothing and promises no durability: fsync is off.
//
// A cluster ends with the test process, however that ends: a small watcher holds the far end of a pipe and, when it closes,
// stops the server and removes the folder.
package pgtest

import (
	"context"
	"fmt"
	"net/url"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/jackc/pgx/v5"
)

var (
	shared  = sync.OnceValues(func() (*cluster, error) { return newCluster() })
	counter atomic.Int64
)

// Start returns the address of a fresh, empty database. The test binary's one cluster is started by the first call. Where no
// PostgreSQL is installed the test is skipped, but in a CI run (CI is set) it fails.
func Start(t testing.TB) string {
	t.Helper()
	need(t)
	c, err := shared()
	if err != nil {
		t.Fatalf("start PostgreSQL: %v", err)
	}
	name := fmt.Sprintf("t%d", counter.Add(1))
	if err := c.exec("create database " + name); err != nil {
		t.Fatalf("make a database: %v", err)
	}
	t.Cleanup(func() {
		if err := c.exec("drop database " + name + " with (force)"); err != nil {
			t.Errorf("drop the database: %v", err)
		}
	})
	return c.url(name)
}

// Server is a cluster of one test's own, which can be stopped and started again at the same address.
type Server struct {
	URL     string
	t       testing.TB
	cluster *cluster
}

// StartServer starts a cluster for this test alone; it is stopped and removed at the test's end.
func StartServer(t testing.TB) *Server {
	t.Helper()
	need(t)
	c, err := newCluster()
	if err != nil {
		t.Fatalf("start PostgreSQL: %v", err)
	}
	t.Cleanup(c.remove)
	return &Server{URL: c.url("postgres"), t: t, cluster: c}
}

// Stop stops the server at once, as when its machine is switched off: connections break, running transactions are lost.
func (s *Server) Stop() {
	s.t.Helper()
	if err := s.cluster.stop(); err != nil {
		s.t.Fatalf("stop PostgreSQL: %v", err)
	}
}

// Start starts the server again, with its databases as they were.
func (s *Server) Start() {
	s.t.Helper()
	if err := s.cluster.start(); err != nil {
		s.t.Fatalf("start PostgreSQL again: %v", err)
	}
}

func (c *cluster) url(database string) string {
	u := url.URL{Scheme: "postgres", User: url.User("postgres"), Path: "/" + database,
		RawQuery: url.Values{"host": {c.folder}, "sslmode": {"disable"}}.Encode()}
	return u.String()
}

func (c *cluster) exec(sql string) error {
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, c.url("postgres"))
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, sql)
	return err
}
