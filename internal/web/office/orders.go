package office

import (
	"slices"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/slip"
)

// orders are the pages of what is sold.
type orders struct{ queue Queue }

// order is an order with the sets that were made for it.
type order struct {
	Ref     book.Ref
	Size    string
	Class   string
	Wanted  int
	Sets    []book.Thing
	Shipped int
	Due     string
	Late    bool
	Asked   []slip.Slip // what waits for a decision about it
	due     time.Time
}

// ordersOf reads the orders, the soonest due first, with their sets.
func ordersOf(v *shell.Visit) (list []order, err error) {
	page, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: book.KindOrder}, "", 500)
	if err != nil {
		return nil, err
	}
	sets, err := setsByOrder(v)
	if err != nil {
		return nil, err
	}
	for _, t := range page.Items {
		state, err := book.StateOf(t)
		if err != nil {
			return nil, err
		}
		s := state.(*book.OrderState)
		o := order{Ref: t.Ref, Size: s.Size, Class: s.Class, Wanted: s.Sets, Sets: sets[t.ID], Due: v.Day(s.Due), due: s.Due}
		for _, x := range o.Sets {
			if x.Station == book.Away {
				o.Shipped++
			}
		}
		o.Late = o.Shipped < o.Wanted && s.Due.Before(v.Now)
		list = append(list, o)
	}
	slices.SortStableFunc(list, func(a, b order) int { return a.due.Compare(b.due) })
	return list, nil
}

// setsByOrder are the sets that still are sets, by the order they were made for.
func setsByOrder(v *shell.Visit) (map[string][]book.Thing, error) {
	by := map[string][]book.Thing{}
	for cursor := ""; ; {
		page, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: book.KindSet}, cursor, 500)
		if err != nil {
			return nil, err
		}
		for _, t := range page.Items {
			state, err := book.StateOf(t)
			if err != nil {
				return nil, err
			}
			if s := state.(*book.SetState); s.Order != "" && s.Parted == "" {
				by[s.Order] = append(by[s.Order], t)
			}
		}
		if cursor = page.Next; cursor == "" {
			return by, nil
		}
	}
}

func (r orders) all(v *shell.Visit) error {
	list, err := ordersOf(v)
	if err != nil {
		return err
	}
	return v.Show(shell.Page{Name: "office/orders", Title: v.Say("shell.orders"), Here: "orders", Data: list})
}

func (r orders) one(v *shell.Visit) error {
	t, _, err := v.Thing(book.KindOrder, v.R.PathValue("number"))
	if err != nil {
		return err
	}
	list, err := ordersOf(v)
	if err != nil {
		return err
	}
	for _, o := range list {
		if o.Ref == t.Ref {
			o.Asked = slip.About(v, r.queue.Ask(v.Now), o.Ref)
			return v.Show(shell.Page{Name: "office/order", Title: t.ID, Here: "orders", Data: o})
		}
	}
	return v.Show(shell.Page{Name: "office/order", Title: t.ID, Here: "orders", Data: order{Ref: t.Ref}})
}
