package book

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"time"

	"gramcup/mix"
)

// The keys under which settings are kept. They are never changed.
const (
	settingShop   = "shop"
	settingLimits = "limits"
)

// shopBody is the setting of the shop's temperature; null is not set.
type shopBody struct {
	ShopC *float64 `json:"shop_c"`
}

// Settings are what was last put by PutSettings, and the zero value if nothing
// ever was.
func (b *Book) Settings() (s mix.Settings, err error) {
	err = b.read("read the settings", func(db *sql.DB) error {
		return each(db, func(rows *sql.Rows) error {
			var key, body string
			if err := rows.Scan(&key, &body); err != nil {
				return err
			}
			var shop shopBody
			into := map[string]any{settingShop: &shop, settingLimits: &s.Limits}[key]
			if into == nil {
				return nil // of a newer program, whose book this one would not open
			}
			if err := json.Unmarshal([]byte(body), into); err != nil {
				return fmt.Errorf("%w: the setting %q can not be read: %w", ErrDamaged, key, err)
			}
			if key == settingShop {
				s.ShopC = shop.ShopC
			}
			return nil
		}, `SELECT key, body FROM setting`)
	})
	return s, err
}

// PutSettings keeps settings in place of those before, with the moment at which
// each of them changed. It refuses what Check refuses, and touches no event.
func (b *Book) PutSettings(s mix.Settings, at time.Time) error {
	if err := s.Check(); err != nil {
		return err
	}
	if s.Limits == nil {
		s.Limits = []mix.Limit{}
	}
	b.write.Lock()
	defer b.write.Unlock()
	return b.change("keep the settings", func(tx *sql.Tx) error {
		for key, v := range map[string]any{settingShop: shopBody{s.ShopC}, settingLimits: s.Limits} {
			body, err := json.Marshal(v)
			if err != nil {
				return fmt.Errorf("the setting %q can not be written: %w", key, err)
			}
			if len(body) > MaxBodyBytes {
				return fmt.Errorf("the setting %q has %d bytes: at most %d are kept", key, len(body), MaxBodyBytes)
			}
			if _, err := tx.Exec(`INSERT INTO setting (key, wall_ms, body) VALUES (?, ?, ?)
				ON CONFLICT (key) DO UPDATE SET wall_ms = excluded.wall_ms, body = excluded.body WHERE body <> excluded.body`,
				key, at.UnixMilli(), string(body)); err != nil {
				return err
			}
		}
		return nil
	})
}

// putSetting keeps a body under a key, in place of the one before.
func putSetting(tx *sql.Tx, key string, body []byte, at time.Time) error {
	_, err := tx.Exec(`INSERT INTO setting (key, wall_ms, body) VALUES (?, ?, ?)
		ON CONFLICT (key) DO UPDATE SET wall_ms = excluded.wall_ms, body = excluded.body`, key, at.UnixMilli(), string(body))
	return err
}
