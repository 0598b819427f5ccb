package line

import "golang.org/x/sys/unix"

const inputWaiting = unix.TIOCINQ

func flushInput(fd int) { _ = unix.IoctlSetInt(fd, unix.TCFLSH, unix.TCIFLUSH) }

// speed reads the terminal's output speed in bits a second; 0 when it cannot.
func speed(fd int) int {
	t, err := unix.IoctlGetTermios(fd, unix.TCGETS2)
	if err != nil {
		return 0
	}
	return int(t.Ospeed)
}

func setSpeed(fd, baud int) error {
	t, err := unix.IoctlGetTermios(fd, unix.TCGETS2)
	if err != nil {
		return err
	}
	t.Cflag = t.Cflag&^unix.CBAUD | unix.BOTHER
	t.Ispeed, t.Ospeed = uint32(baud), uint32(baud)
	return unix.IoctlSetTermios(fd, unix.TCSETS2, t)
}
