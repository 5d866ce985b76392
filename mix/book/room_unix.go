//go:build linux || darwin || freebsd

package book

import "syscall"

// freeBytes is what this user may still put on the disk of a folder.
func freeBytes(dir string) (free uint64, known bool, err error) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(dir, &s); err != nil {
		return 0, false, err
	}
	return uint64(max(s.Bavail, 0)) * uint64(s.Bsize), true, nil
}
