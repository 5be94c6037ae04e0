//go:build linux && !malgo

package soundcard

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"sync"
	"syscall"
	"time"

	"github.com/jfreymuth/pulse/proto"
)

// pulse speaks the protocol of PulseAudio, which PipeWire speaks as well.
type pulse struct {
	client *proto.Client
	conn   net.Conn
	gone   chan struct{} // closed when the connection is

	mutex   sync.Mutex
	inputs  map[uint32]*pulseInput
	outputs map[uint32]*pulseOutput
}

// Open connects to the sound server.
func Open() (Card, error) {
	client, conn, err := proto.Connect("")
	for try := 0; errors.Is(err, syscall.EAGAIN) && try < 40; try++ { // others stand in line
		time.Sleep(50 * time.Millisecond)
		client, conn, err = proto.Connect("")
	}
	if err != nil {
		return nil, noServer(err)
	}
	p := &pulse{client: client, conn: conn, gone: make(chan struct{}), inputs: map[uint32]*pulseInput{}, outputs: map[uint32]*pulseOutput{}}
	client.Callback = p.event
	client.SetTimeout(4 * time.Second)
	props := proto.PropList{"application.name": proto.PropListString("hisspoint")}
	if err := client.Request(&proto.SetClientName{Props: props}, &proto.SetClientNameReply{}); err != nil {
		conn.Close()
		return nil, noServer(err)
	}
	return p, nil
}

// noServer says what to do where there is no sound server.
func noServer(err error) error {
	var opErr *net.OpError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return errors.New("no sound server runs here; start PipeWire or PulseAudio (pulseaudio --start), or pipe raw samples in with --device -")
	case errors.Is(err, proto.ErrAccessDenied):
		return errors.New("the sound server refuses the connection; run hisspoint as the user who is logged in")
	case errors.As(err, &opErr):
		err = opErr.Err
	}
	return fmt.Errorf("the sound server cannot be reached (%w); start PipeWire or PulseAudio (pulseaudio --start), or pipe raw samples in with --device -", err)
}

// event takes what the server sends by itself. It runs in the one goroutine that
// reads the connection, so it must not make requests.
func (p *pulse) event(msg any) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	switch msg := msg.(type) {
	case *proto.DataPacket:
		if in := p.inputs[msg.StreamIndex]; in != nil {
			in.take(msg.Data)
		}
	case *proto.Overflow:
		if in := p.inputs[msg.StreamIndex]; in != nil {
			in.fail(in.lost())
		}
	case *proto.RecordStreamKilled:
		if in := p.inputs[msg.StreamIndex]; in != nil {
			in.fail(vanished(in.device))
		}
	case *proto.RecordStreamMoved:
		if in := p.inputs[msg.StreamIndex]; in != nil {
			in.fail(vanished(in.device))
		}
	case *proto.Request:
		if out := p.outputs[msg.StreamIndex]; out != nil {
			out.ask(int(msg.Length))
		}
	case *proto.PlaybackStreamKilled:
		if out := p.outputs[msg.StreamIndex]; out != nil {
			out.end(vanished(out.device))
		}
	case *proto.Underflow:
		if out := p.outputs[msg.StreamIndex]; out != nil {
			out.ranDry()
		}
	case *proto.ConnectionClosed:
		for _, in := range p.inputs {
			in.fail(dead(in.device))
		}
		for _, out := range p.outputs {
			out.end(dead(out.device))
		}
		close(p.gone)
	}
}

func vanished(d Device) error {
	return fmt.Errorf("%s: the device is gone; plug it in again", d.Name)
}

func dead(d Device) error {
	return fmt.Errorf("%s: the sound server has died; start it again (pulseaudio --start)", d.Name)
}

// diagnose says why no samples come, if the device or the server is gone.
func (p *pulse) diagnose(d Device) error {
	var info proto.GetSourceInfoReply
	err := p.client.Request(&proto.GetSourceInfo{SourceIndex: proto.Undefined, SourceName: d.ID}, &info)
	switch {
	case errors.Is(err, proto.ErrNoSuchEntity):
		return vanished(d)
	case errors.Is(err, context.DeadlineExceeded):
		return nil // busy; a connection that is closed answers at once
	case err != nil:
		return dead(d)
	}
	return nil
}

// Close implements Card.
func (p *pulse) Close() error { return p.conn.Close() }

// formats of samples: the protocol's number, and what is recorded of it.
var pulseFormats = map[byte]struct {
	wire byte
	Format
}{
	proto.FormatUint8:     {proto.FormatUint8, Format{Bits: 8}},
	proto.FormatInt16LE:   {proto.FormatInt16LE, Format{Bits: 16}},
	proto.FormatInt16BE:   {proto.FormatInt16LE, Format{Bits: 16}},
	proto.FormatFloat32LE: {proto.FormatFloat32LE, Format{Bits: 32, Float: true}},
	proto.FormatFloat32BE: {proto.FormatFloat32LE, Format{Bits: 32, Float: true}},
	proto.FormatInt32LE:   {proto.FormatInt32LE, Format{Bits: 32}},
	proto.FormatInt32BE:   {proto.FormatInt32LE, Format{Bits: 32}},
	pulseInt24LE:          {pulseInt24LE, Format{Bits: 24}},
	pulseInt24BE:          {pulseInt24LE, Format{Bits: 24}},
	pulseInt24In32LE:      {pulseInt24LE, Format{Bits: 24}},
	pulseInt24In32BE:      {pulseInt24LE, Format{Bits: 24}},
}

// Sample formats of PulseAudio's sample.h that the client does not name.
const (
	pulseInt24LE     = 9
	pulseInt24BE     = 10
	pulseInt24In32LE = 11
	pulseInt24In32BE = 12
)

// ownFormat is what a device of that specification is recorded as, without loss.
func ownFormat(s proto.SampleSpec) (wire byte, f Format) {
	known, ok := pulseFormats[s.Format]
	if !ok { // A-law and the like: float holds all of it
		known = pulseFormats[proto.FormatFloat32LE]
	}
	f = known.Format
	f.Rate, f.Channels = int(s.Rate), int(s.Channels)
	return known.wire, f
}

// hardwareVolume is the flag of a device whose volume control sits before the converter.
const hardwareVolume = 0x0001

// turned says how a volume control stands that works on the samples themselves.
func turned(v proto.ChannelVolumes, flags uint32) string {
	if len(v) == 0 || flags&hardwareVolume != 0 || v[0] == uint32(proto.VolumeNorm) {
		return ""
	}
	return fmt.Sprintf("%.0f %%", 100*float64(v[0])/float64(proto.VolumeNorm))
}

// Inputs implements Card.
func (p *pulse) Inputs() ([]Device, error) {
	var list proto.GetSourceInfoListReply
	var server proto.GetServerInfoReply
	if err := errors.Join(p.client.Request(&proto.GetSourceInfoList{}, &list), p.client.Request(&proto.GetServerInfo{}, &server)); err != nil {
		return nil, noServer(err)
	}
	var all []Device
	for _, s := range list {
		_, f := ownFormat(s.SampleSpec)
		all = append(all, Device{ID: s.SourceName, Name: s.Device, Format: f, Default: s.SourceName == server.DefaultSourceName,
			Hears: s.MonitorSourceName, Muted: s.Mute, Turned: turned(s.ChannelVolumes, s.Flags)})
	}
	return all, nil
}

// Outputs implements Card.
func (p *pulse) Outputs() ([]Device, error) {
	var list proto.GetSinkInfoListReply
	var server proto.GetServerInfoReply
	if err := errors.Join(p.client.Request(&proto.GetSinkInfoList{}, &list), p.client.Request(&proto.GetServerInfo{}, &server)); err != nil {
		return nil, noServer(err)
	}
	var all []Device
	for _, s := range list {
		_, f := ownFormat(s.SampleSpec)
		all = append(all, Device{ID: s.SinkName, Name: s.Device, Format: f, Default: s.SinkName == server.DefaultSinkName,
			Muted: s.Mute, Turned: turned(s.ChannelVolumes, s.Flags)})
	}
	return all, nil
}
