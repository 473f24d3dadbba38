from __future__ import annotations
from collections.abc import Callable, Sequence, Iterable
from dataclasses import dataclass, field
from tracker.domain.packing import Ground
from tracker.domain.shelves import Footprint, Spot
from tracker.domain.loading import *

Draw = Callable[[int], int]

class Level:
    def __init__(self, post, ground):
        self.post=post; self.ground=ground; self.pieces=[]; self.spots=[]; self.small=[]
    def take(self, piece):
        f=piece.footprint
        if any(contains(f, g) for g in self.small): return False
        s=self.ground.spot_for(f)
        if s is None:
            self.small=[g for g in self.small if not contains(g,f)]
            self.small.append(f); return False
        self.ground.put(f,s); self.pieces.append(piece); self.spots.append(s); return True

def contains(large, small):
    if small.is_round: return min(large.width_mm, large.depth_mm) >= small.width_mm
    if large.is_round: return large.width_mm**2 >= small.width_mm**2+small.depth_mm**2
    a,b=sorted((large.width_mm,large.depth_mm)); c,d=sorted((small.width_mm,small.depth_mm))
    return a>=c and b>=d

class Stacker:
    def __init__(self, kiln, gap):
        self.kiln=kiln; self.empty=kiln.ground(gap); self.t=kiln.shelf_thickness_mm
        self.ntries=0
    def build(self, pieces, key):
        order=sorted(pieces,key=key); levels=[]
        while order:
            lv=Level(self.kiln.post_for(max(order[0].height_mm,0)), self.empty.copy())
            rest=[]
            for p in order:
                if p.height_mm>lv.post or not lv.take(p): rest.append(p)
            levels.append(lv); order=rest
        return levels
    def height(self, levels): return sum(l.post+self.t for l in levels)
    def firings(self, levels):
        bins=[]
        for l in sorted(levels,key=lambda l:-l.post):
            h=l.post+self.t
            for b in bins:
                if b[0]+h<=self.kiln.room_mm+1e-9: b[0]+=h;b[1].append(l);break
            else: bins.append([h,[l]])
        return bins
    def cost(self, levels):
        A=self.kiln.shelf.area_mm2
        return (len(self.firings(levels)), self.height(levels), -sum((l.ground.covered_mm2/A)**2*(l.post+self.t) for l in levels))
    def quick(self, pieces):
        P={p.code:self.kiln.post_for(p.height_mm) for p in pieces}
        return self.build(pieces, lambda p:(-P[p.code],-p.footprint.area_mm2))
    def improve(self, levels, more, draw):
        P={}
        for l in levels:
            for p in l.pieces: P[p.code]=self.kiln.post_for(p.height_mm)
        best=self.cost(levels); n=0;acc=0
        while more():
            n+=1
            k=min(len(levels),2+draw(2))
            idx=set()
            while len(idx)<k: idx.add(draw(len(levels)))
            chosen=[levels[i] for i in idx]; rest=[l for i,l in enumerate(levels) if i not in idx]
            pieces=[p for l in chosen for p in l.pieces]
            w={p.code: p.footprint.area_mm2*(1+(draw(1000)-500)/1000*self.jit) for p in pieces}
            new=self.build(pieces, lambda p:(-P[p.code],-w[p.code]))
            c=self.cost(rest+new)
            if c<best:
                best=c;levels=rest+new;acc+=1
        self.n=n;self.acc=acc
        return levels
    jit=0.6
