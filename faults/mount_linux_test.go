package faults_test

import (
	"os"
	"syscall"
	"testing"
)

// smallDisk mounts a disk of a given size in memory. Only root may; for others the test is not run.
func smallDisk(t *testing.T, size string) string {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("a small disk needs root")
	}
	where := t.TempDir()
	if err := syscall.Mount("tmpfs", where, "tmpfs", 0, "size="+size); err != nil {
		t.Skipf("a small disk cannot be mounted here: %v", err)
	}
	t.Cleanup(func() { syscall.Unmount(where, syscall.MNT_DETACH) })
	return where
}

// readOnlyMount shows a folder through a mount that cannot be written.
func readOnlyMount(t *testing.T, folder string) string {
	t.Helper()
	where := t.TempDir()
	if err := syscall.Mount(folder, where, "", syscall.MS_BIND, ""); err != nil {
		t.Skipf("a read-only mount cannot be made here: %v", err)
	}
	t.Cleanup(func() { syscall.Unmount(where, syscall.MNT_DETACH) })
	if err := syscall.Mount("", where, "", syscall.MS_BIND|syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skipf("a read-only mount cannot be made here: %v", err)
	}
	return where
}
