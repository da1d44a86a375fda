package rdm

import (
	"context"
	"fmt"
)

// SetStartAddress sets the slot that a device listens to first, and reads it back. The caller has asked the user before: a
// light that moves to other slots shows at once what they hold, which may be full. It refuses addresses that the device's
// slots do not fit behind. Its error says in words what the device does now, as far as that is known.
func (c *Client) SetStartAddress(ctx context.Context, u UID, address int) error {
	var info Info
	if err := c.read(ctx, u, DeviceInfo, nil, info.Decode); err != nil {
		return err
	}
	switch last := lastAddress - info.Footprint + 1; {
	case info.Footprint == 0:
		return fmt.Errorf("%v takes no slots in its present mode, so it has no start address", u)
	case address < 1 || address > last:
		return fmt.Errorf("start address %d is not in 1..%d, where the %d slots of %v fit", address, last, info.Footprint, u)
	case address == info.StartAddress:
		return nil
	}
	_, setErr := c.Set(ctx, u, DmxStartAddress, AppendAddress(nil, address)...)
	if setErr != nil && !isDevices(setErr) {
		return setErr
	}
	// Also after an answer that did not come: it may have been set all the same.
	now := 0
	if err := c.read(ctx, u, DmxStartAddress, nil, func(data []byte) (err error) {
		now, err = DecodeAddress(data)
		return err
	}); err != nil {
		if setErr != nil {
			err = setErr
		}
		return fmt.Errorf("whether %v has start address %d now is not known: %w", u, address, err)
	}
	switch {
	case now == address:
		return nil
	case setErr != nil:
		return fmt.Errorf("%v keeps start address %d: %w", u, now, setErr)
	}
	return fmt.Errorf("%v took start address %d, but says that it has %d; set it at the device", u, address, now)
}

// SetIdentify makes a device show itself, or ends that. Most flash or go to full: warn whoever looks into the light.
func (c *Client) SetIdentify(ctx context.Context, u UID, on bool) error {
	state := byte(0)
	if on {
		state = 1
	}
	_, err := c.Set(ctx, u, IdentifyDevice, state)
	return err
}

// SetMode makes a device take its slots in another way, and reads back that it does. The caller has asked the user before.
func (c *Client) SetMode(ctx context.Context, u UID, mode int) error {
	if mode < 1 || mode > 255 {
		return fmt.Errorf("mode %d is not in 1..255", mode)
	}
	if _, err := c.Set(ctx, u, DmxPersonality, byte(mode)); err != nil {
		return err
	}
	now := 0
	if err := c.read(ctx, u, DmxPersonality, nil, func(data []byte) (err error) {
		now, _, err = decodePersonality(data)
		return err
	}); err != nil {
		return fmt.Errorf("whether %v is in mode %d now is not known: %w", u, mode, err)
	}
	if now != mode {
		return fmt.Errorf("%v took mode %d, but says that it is in mode %d; set it at the device", u, mode, now)
	}
	return nil
}
