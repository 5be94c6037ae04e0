//go:build linux && !malgo

package soundcard

import (
	"errors"
	"fmt"
	"sync"
	"time"

	"github.com/jfreymuth/pulse/proto"
)

// fragmentSeconds is how often samples come from the server.
const fragmentSeconds = 0.04

// pulseInput is a stream that the server records for us.
type pulseInput struct {
	*queue
	p     *pulse
	index uint32
	rest  []byte
	block []float64
}

// Record implements Card. The server is asked for the device's own format, for no
// mixing of channels, and not to move the stream elsewhere; what it answers is
// compared with what was asked.
func (p *pulse) Record(d Device) (Input, error) {
	if d.Muted {
		return nil, fmt.Errorf("%s: is muted; switch it on in the system's sound settings", d.Name)
	}
	var info proto.GetSourceInfoReply
	if err := p.client.Request(&proto.GetSourceInfo{SourceIndex: proto.Undefined, SourceName: d.ID}, &info); err != nil {
		return nil, vanished(d)
	}
	wire, f := ownFormat(info.SampleSpec)
	fragment := uint32(fragmentSeconds*float64(f.Rate)) * uint32(f.width()*f.Channels)
	volumes := make(proto.ChannelVolumes, f.Channels)
	for i := range volumes {
		volumes[i] = uint32(proto.VolumeNorm)
	}
	request := proto.CreateRecordStream{
		SampleSpec: proto.SampleSpec{Format: wire, Channels: byte(f.Channels), Rate: uint32(f.Rate)}, ChannelMap: info.ChannelMap,
		SourceIndex: proto.Undefined, SourceName: d.ID, BufferMaxLength: proto.Undefined, Corked: true, BufferFragSize: fragment,
		NoRemap: true, NoRemix: true, NoMove: true, AdjustLatency: true, DirectOnInputIndex: proto.Undefined,
		Properties: proto.PropList{"media.name": proto.PropListString("recording")}, ChannelVolumes: volumes,
	}
	var reply proto.CreateRecordStreamReply
	if err := p.client.Request(&request, &reply); err != nil {
		return nil, fmt.Errorf("%s: cannot be recorded (%w); check that no other program holds it", d.Name, err)
	}
	in := &pulseInput{queue: newQueue(d, f, func() error { return p.diagnose(d) }), p: p, index: reply.StreamIndex}
	if reply.Rate != uint32(f.Rate) || int(reply.Channels) != f.Channels || reply.Format != wire {
		in.Close()
		return nil, fmt.Errorf("%s: the sound server offers %d Hz and %d channels where the device has %d Hz and %d; set the device to one rate in the system's sound settings", d.Name, reply.Rate, reply.Channels, f.Rate, f.Channels)
	}
	p.mutex.Lock()
	p.inputs[in.index] = in
	p.mutex.Unlock()
	if err := p.client.Request(&proto.CorkRecordStream{StreamIndex: in.index, Corked: false}, nil); err != nil {
		in.Close()
		return nil, fmt.Errorf("%s: cannot be started (%w)", d.Name, err)
	}
	return in, nil
}

// take turns bytes from the server into samples.
func (in *pulseInput) take(data []byte) {
	if len(in.rest) > 0 {
		data = append(in.rest, data...)
	}
	var rest []byte
	in.block, rest = in.format.decode(in.block[:0], data)
	in.rest = append([]byte(nil), rest...)
	in.put(in.block)
}

// Close implements Input.
func (in *pulseInput) Close() error {
	in.p.mutex.Lock()
	delete(in.p.inputs, in.index)
	in.p.mutex.Unlock()
	in.fail(ErrClosed)
	if err := in.p.client.Request(&proto.DeleteRecordStream{StreamIndex: in.index}, nil); err != nil {
		return errors.New("the sound server did not close the recording")
	}
	return nil
}

// pulseOutput is a stream that the server plays for us.
type pulseOutput struct {
	p      *pulse
	device Device
	format Format
	index  uint32
	next   func([]float64) int
	wanted chan int
	done   chan struct{}
	quit   chan struct{}
	dry    chan struct{}

	once  sync.Once
	quits sync.Once
	mutex sync.Mutex
	err   error
}

// Play implements Card.
func (p *pulse) Play(d Device, f Format, latency time.Duration, next func([]float64) int) (Output, error) {
	if err := AtRate(d, f.Rate); err != nil {
		return nil, err
	}
	channels := make(proto.ChannelMap, f.Channels)
	volumes := make(proto.ChannelVolumes, f.Channels)
	for i := range channels {
		channels[i], volumes[i] = byte(proto.ChannelLeft+i), uint32(proto.VolumeNorm)
	}
	if f.Channels == 1 {
		channels[0] = proto.ChannelMono
	}
	request := proto.CreatePlaybackStream{
		SampleSpec: proto.SampleSpec{Format: proto.FormatFloat32LE, Channels: byte(f.Channels), Rate: uint32(f.Rate)}, ChannelMap: channels,
		SinkIndex: proto.Undefined, SinkName: d.ID, BufferMaxLength: proto.Undefined, Corked: true,
		BufferTargetLength: uint32(latency.Seconds()*float64(f.Rate)) * uint32(4*f.Channels), BufferPrebufferLength: proto.Undefined, BufferMinimumRequest: proto.Undefined,
		ChannelVolumes: volumes, NoMove: true, AdjustLatency: true, VolumeSet: true,
		Properties: proto.PropList{"media.name": proto.PropListString("test signal")},
	}
	var reply proto.CreatePlaybackStreamReply
	if err := p.client.Request(&request, &reply); err != nil {
		return nil, fmt.Errorf("%s: cannot be played to (%w)", d.Name, err)
	}
	out := &pulseOutput{p: p, device: d, format: f, index: reply.StreamIndex, next: next,
		wanted: make(chan int, 64), done: make(chan struct{}), quit: make(chan struct{}), dry: make(chan struct{}, 1)}
	p.mutex.Lock()
	p.outputs[out.index] = out
	p.mutex.Unlock()
	go out.run(int(reply.Missing))
	return out, nil
}

// ask is called with how many bytes the server wants.
func (out *pulseOutput) ask(bytes int) {
	select {
	case out.wanted <- bytes:
	default:
		out.end(errors.New("the sound could not be made fast enough; close other programs"))
	}
}

func (out *pulseOutput) ranDry() {
	select {
	case out.dry <- struct{}{}:
	default:
	}
}

// run feeds the server until the sound ends, and waits until it was heard.
func (out *pulseOutput) run(first int) {
	frame := 4 * out.format.Channels
	started, ended := false, false
	for want := first; ; {
		if !ended && want >= frame {
			block := make([]float64, want/frame*out.format.Channels)
			n := out.next(block)
			if n > 0 {
				out.p.client.Send(out.index, encode(nil, block[:n]))
			}
			want -= len(block) * 4
			ended = n < len(block)
			select { // what ran dry before this block was sent is no end
			case <-out.dry:
			default:
			}
		}
		if !started {
			started = true
			if err := out.p.client.Request(&proto.CorkPlaybackStream{StreamIndex: out.index}, nil); err != nil {
				out.end(dead(out.device))
				return
			}
		}
		if ended { // the server tells when it has played all it had
			if err := out.p.client.Request(&proto.TriggerPlaybackStream{StreamIndex: out.index}, nil); err != nil {
				out.end(dead(out.device))
				return
			}
			select {
			case <-out.dry:
				out.end(nil)
			case <-out.quit:
			case <-out.done:
			}
			return
		}
		select {
		case n := <-out.wanted:
			want += n
		case <-out.quit:
			return
		case <-out.done:
			return
		}
	}
}

func (out *pulseOutput) end(err error) {
	out.once.Do(func() {
		out.mutex.Lock()
		out.err = err
		out.mutex.Unlock()
		close(out.done)
	})
}

func (out *pulseOutput) Done() <-chan struct{} { return out.done }

func (out *pulseOutput) Err() error {
	out.mutex.Lock()
	defer out.mutex.Unlock()
	return out.err
}

// Close implements Output.
func (out *pulseOutput) Close() error {
	out.quits.Do(func() {
		close(out.quit)
		out.p.mutex.Lock()
		delete(out.p.outputs, out.index)
		out.p.mutex.Unlock()
		out.p.client.Request(&proto.DeletePlaybackStream{StreamIndex: out.index}, nil)
		out.end(nil)
	})
	return nil
}
