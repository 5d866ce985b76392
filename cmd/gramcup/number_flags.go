package main

import (
	"fmt"
	"reflect"
	"strconv"

	"github.com/alecthomas/kong"
)

// readsNumbers makes the command line say what is wrong with a number in the
// words of a person who typed a comma.
func readsNumbers() kong.Option {
	return kong.OptionFunc(func(k *kong.Kong) error {
		for _, o := range []kong.Option{
			kong.KindMapper(reflect.Float64, numberMapper("is not a number here: write it with a point, as in 1.5", func(s string, to reflect.Value) error {
				x, err := strconv.ParseFloat(s, 64)
				to.SetFloat(x)
				return err
			})),
			kong.KindMapper(reflect.Int, numberMapper("is not a whole number", func(s string, to reflect.Value) error {
				n, err := strconv.Atoi(s)
				to.SetInt(int64(n))
				return err
			})),
		} {
			if err := o.Apply(k); err != nil {
				return err
			}
		}
		return nil
	})
}

func numberMapper(wrong string, set func(string, reflect.Value) error) kong.MapperFunc {
	return func(ctx *kong.DecodeContext, target reflect.Value) error {
		t, err := ctx.Scan.PopValue("number")
		if err != nil {
			return err
		}
		text := fmt.Sprint(t.Value)
		if set(text, target) != nil {
			return fmt.Errorf("%q %s", text, wrong)
		}
		return nil
	}
}
