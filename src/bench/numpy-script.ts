/**
 * The first-order seating of many trials at once in NumPy, as one would write it there: batched solves, warm start with every spring weak, only trials that are not yet at rest
 * in the next step, a line search (by halving, for all of them at once) for those that go round in a circle.
 */
export const NUMPY_SCRIPT = `
import json, sys, time
import numpy as np

folder, repeats = sys.argv[1], int(sys.argv[2])
size = json.load(open(folder + "/size.json"))
probes, n, trials, ratio = size["probes"], size["coordinates"], size["trials"], size["pressRatio"]
read = lambda name, *shape: np.fromfile(folder + "/" + name, dtype=np.float64).reshape(shape)
G, w, free = read("slopes", probes, n), read("weight", probes), read("free", trials, probes)
outer = (w[:, None, None] * G[:, :, None] * G[:, None, :]).reshape(probes, n * n)
wG = w[:, None] * G
weak = np.linalg.inv(G.T @ wG) @ wG.T

def solve(b, pressed):
    k = np.where(pressed, ratio, 1.0)
    H = (k @ outer).reshape(-1, n, n)
    q = np.linalg.solve(H, -((k * b) @ wG)[:, :, None])[:, :, 0]
    return b + q @ G.T

def best_share(g, c):
    def slope(a):
        x = g + a[:, None] * c
        return (w * np.where(x < 0, ratio, 1.0) * x * c).sum(axis=1)
    low, high = np.zeros(len(g)), np.ones(len(g))
    while True:
        more = slope(high) < 0
        if not more.any(): break
        low, high = np.where(more, high, low), np.where(more, 2 * high, high)
    for _ in range(40):
        middle = (low + high) / 2
        down = slope(middle) < 0
        low, high = np.where(down, middle, low), np.where(down, high, middle)
    return (low + high) / 2

def seat(b):
    out = np.empty_like(b)
    active = np.arange(len(b))
    g = b - b @ weak.T @ G.T
    step = 0
    while len(active):
        pressed = g < 0
        target = solve(b[active], pressed)
        done = ((target < 0) == pressed).all(axis=1)
        out[active[done]] = target[done]
        active, g, target = active[~done], g[~done], target[~done]
        if step >= 8 and len(active):
            share = best_share(g, target - g)
            g = g + share[:, None] * (target - g)
        else:
            g = target
        step += 1
        if step > 60: raise SystemExit("some trials found no rest")
    return out

times = []
for repeat in range(repeats + 1):
    start = time.process_time()
    gaps = seat(free)
    times.append((time.process_time() - start) / trials * 1e9)
gaps.tofile(folder + "/gaps")
print(json.dumps({"times": times[1:], "version": np.__version__}))
`;
