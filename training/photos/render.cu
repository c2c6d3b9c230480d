// A path tracer of loose fasteners on a printed mat, for making training photos with exact truth.
// One source for two builds: nvcc for a graphics card, g++ -x c++ -fopenmp for a look on a bench machine.
// Lengths in millimetres. World: x right and y up on the paper, z out of it (right-handed, so that right-hand
// threads stay right-handed). Pieces are signed distance functions in their own axes: z along the axis, the face
// under a head at z = 0, the shank towards +z.
#include <cmath>
#include <cstdint>
#ifdef __CUDACC__
#define HD __host__ __device__ __forceinline__
#else
#define HD inline
#endif
#define PI 3.14159265f

struct V { float x, y, z; };
HD V v3(float x, float y, float z) { return V{x, y, z}; }
HD V operator+(V a, V b) { return v3(a.x + b.x, a.y + b.y, a.z + b.z); }
HD V operator-(V a, V b) { return v3(a.x - b.x, a.y - b.y, a.z - b.z); }
HD V operator*(V a, float s) { return v3(a.x * s, a.y * s, a.z * s); }
HD V operator*(V a, V b) { return v3(a.x * b.x, a.y * b.y, a.z * b.z); }
HD float dot(V a, V b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
HD V cross(V a, V b) { return v3(a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x); }
HD V unit(V a) { return a * (1.f / sqrtf(dot(a, a) + 1e-30f)); }
HD float mn(float a, float b) { return a < b ? a : b; }
HD float mx(float a, float b) { return a > b ? a : b; }
HD float cl(float a, float lo, float hi) { return mn(mx(a, lo), hi); }
HD float mixf(float a, float b, float t) { return a + (b - a) * t; }
HD V mixv(V a, V b, float t) { return a * (1 - t) + b * t; }

struct Rng { uint32_t s; };
HD uint32_t hash32(uint32_t x) { x ^= x >> 16; x *= 0x7feb352dU; x ^= x >> 15; x *= 0x846ca68bU; x ^= x >> 16; return x; }
HD float rnd(Rng &r) { r.s = r.s * 747796405u + 2891336453u; uint32_t w = ((r.s >> ((r.s >> 28) + 4)) ^ r.s) * 277803737u; w = (w >> 22) ^ w; return (w >> 8) * (1.f / 16777216.f); }

HD float lattice(int x, int y, int z, uint32_t s) { return (hash32((uint32_t)x * 73856093u ^ (uint32_t)y * 19349663u ^ (uint32_t)z * 83492791u ^ s) >> 8) * (2.f / 16777216.f) - 1.f; }
HD float noise3(V p, uint32_t s) {
  float fx = floorf(p.x), fy = floorf(p.y), fz = floorf(p.z); int x = (int)fx, y = (int)fy, z = (int)fz;
  float u = p.x - fx, v = p.y - fy, w = p.z - fz; u = u * u * (3 - 2 * u); v = v * v * (3 - 2 * v); w = w * w * (3 - 2 * w);
  float a = mixf(mixf(lattice(x, y, z, s), lattice(x + 1, y, z, s), u), mixf(lattice(x, y + 1, z, s), lattice(x + 1, y + 1, z, s), u), v);
  float b = mixf(mixf(lattice(x, y, z + 1, s), lattice(x + 1, y, z + 1, s), u), mixf(lattice(x, y + 1, z + 1, s), lattice(x + 1, y + 1, z + 1, s), u), v);
  return mixf(a, b, w);
}
HD float fbm(V p, uint32_t s, int n) { float a = 0, k = 1, t = 0; for (int i = 0; i < n; i++) { a += k * noise3(p, s + 77u * i); t += k; k *= .55f; p = p * 2.03f; } return a / t; }

// The layout of a piece: what Python fills in pieces.py.
enum { KIND = 0, ROT = 1, TRA = 10, MID = 13, HALF = 16, G = 19, LOOK = 43, SEED = 44, COL = 45, METAL = 48, ROUGH = 49, DIRT = 50, VSCALE = 51, VAMT = 52, RUST = 53, BUMP = 54, BSCALE = 55, COL2 = 56, TURN = 59, STRIDE = 64 };
enum { HEX_BOLT, STUD, NUT, DOMED_NUT, PLAIN_WASHER, SPRING_WASHER, TAB_WASHER, SPACER, GRUB_SCREW, SLOTTED_SCREW, OTHER };

HD float hex2(float x, float y, float s) { x = fabsf(x); y = fabsf(y); return mx(y, mx(.8660254f * x + .5f * y, 0.f)) - s / 2; }
HD float box2(float a, float b, float ha, float hb, float round) {
  float u = fabsf(a) - ha + round, v = fabsf(b) - hb + round; return sqrtf(mx(u, 0) * mx(u, 0) + mx(v, 0) * mx(v, 0)) + mn(mx(u, v), 0) - round;
}
// 0 at the crest, 1 at the root; flats as fractions of the pitch.
HD float profile(float u, float crest, float root) {
  float x = fabsf(u - floorf(u) - .5f); float t = cl((x - crest * .5f) / mx(.5f - .5f * (crest + root), .05f), 0, 1); float soft = root * 2.2f; return mixf(t, t * t * (3 - 2 * t), mn(soft, 1.f));
}
HD float thread_r(float z, float a, float d, float P, float D, float crest, float root, float wear) { return d / 2 - D * mx(profile(z / P - a / (2 * PI), crest, root), wear); }

// A threaded rod from z = 0 to L: thread from zs on, and below z2 where a second thread is told.
HD float rod(V p, const float *g, bool headless) {
  float r = sqrtf(p.x * p.x + p.y * p.y), z = p.z, d = g[0], P = g[1], D = g[2], L = g[6], zs = g[5], z2 = g[19];
  float outer = r - mx(d, g[7]) / 2, far = mx(outer, mx(z - L, -z - 1));
  if (far > .6f) return far;
  float a = atan2f(p.y, p.x), R;
  if (z > zs || z < z2) {
    float pitch = z > zs ? P : g[20]; R = thread_r(z, a, d, pitch, D * pitch / P, g[3], g[4], g[18]);
    float in = z > zs ? (z - zs) : (z2 - z); if (zs > .01f || z2 > 0) R = mixf(g[7] / 2, R, cl(in / (1.1f * pitch), 0, 1));
  } else R = g[7] / 2;
  float e = mx(mx(outer, .52f * (r - R)), z - L);
  float tip = g[9]; int kind = (int)g[8];
  if (kind == 0) e = mx(e, (r - (d / 2 - tip) - (L - z)) * .7071f);
  else if (kind == 1) { float q = d / 2 * 1.6f, zc = L - q; float h = sqrtf(r * r + mx(z - zc, 0) * mx(z - zc, 0)) - q; e = mx(e, h); }
  else if (kind == 2) e = mx(e, mn(mx(r - (d / 2 - D - .1f), z - L), mx(.7071f * (r - (d / 2 - D - .1f) - (L - tip * 1.6f - z)), z - L)));
  else if (kind == 4) e = mx(e, (r - (.12f * d) - (L - z)) * .7071f);
  if (headless) { e = mx(e, -z); e = mx(e, (r - (d / 2 - D - .05f) - z) * .7071f); }
  return e;
}
HD float hex_head(V p, float s, float k, float cham, float wf, float wfd, float dish) {
  float r = sqrtf(p.x * p.x + p.y * p.y);
  float e = mx(hex2(p.x, p.y, s), mx(-k - p.z, p.z + wf)); e = mx(e, (r - cham * s * .5f - (p.z + k) * 1.73f) * .5f);
  if (wf > 0) e = mn(e, mx(r - wfd / 2, mx(p.z, -wf - .05f - p.z)));
  else e = mx(e, (r - .5f * s * 1.06f + p.z * 1.73f) * .5f);
  if (dish > 0) { float q = s * 1.4f; V c = v3(0, 0, -k - q + dish); V w = p - c; e = mx(e, -(sqrtf(dot(w, w)) - q)); }
  return e;
}
HD float sd_base(V p, int kind, const float *g) {
  float r = sqrtf(p.x * p.x + p.y * p.y), z = p.z;
  if (kind == HEX_BOLT || kind == SLOTTED_SCREW) {
    float e; int hk = (int)g[10]; float S = g[11], k = g[12];
    if (hk == 0) e = hex_head(p, S, k, g[13], g[14], g[15], g[23]);
    else {
      if (hk == 1) { float rr = mn(g[13], k * .4f); e = box2(r, z + k / 2, S / 2, k / 2, rr * .5f); e = mx(e, (r - S / 2 + rr - (z + k)) * .7071f); }
      else if (hk == 2) { float q = (S * S / 4 + k * k) / (2 * k); V w = p - v3(0, 0, q - k); e = mx(sqrtf(dot(w, w)) - q, z); }
      else { float R = S / 2, r0 = g[0] / 2; float n = sqrtf((R - r0) * (R - r0) + k * k); e = mx((r - r0 + (R - r0) * z / k) * k / n, mx(-k - z, z)); }
      float slot = mx(fabsf(p.x) - g[16] / 2, z + k - g[17]); e = mx(e, -slot);
    }
    if (g[22] > 0) e = mx(e, -mx(hex2(p.x, p.y, g[22]), z + k - g[17]));
    float body = rod(p, g, false); return mn(e, mx(body, -z - .3f));
  }
  if (kind == STUD) return rod(p, g, true);
  if (kind == GRUB_SCREW) { float e = rod(p, g, true); float cut = g[22] > 0 ? mx(hex2(p.x, p.y, g[22]), z - g[17]) : mx(fabsf(p.x) - g[16] / 2, z - g[17]); return mx(e, -cut); }
  if (kind == NUT || kind == DOMED_NUT) {
    float s = g[11], h = g[12], d = g[0], P = g[1], c = g[13], wf = g[14];
    float e = mx(hex2(p.x, p.y, s), mx(z - h, wf - z)); e = mx(e, (r - c * s * .5f - (h - z) * 1.73f) * .5f);
    if (wf > 0) e = mn(e, mx(r - g[15] / 2, mx(-z, z - wf - .05f))); else e = mx(e, (r - c * s * .5f - z * 1.73f) * .5f);
    float hole = .52f * (thread_r(z, atan2f(p.y, p.x), d, P, g[2], g[3], g[4], g[18]) - r);
    float csk = d / 2 * 1.06f;
    float in = mx(hole, mx(.7071f * (csk - z - r), kind == NUT ? .7071f * (csk - (h - z) - r) : -1e9f));
    if (kind == NUT) { e = mx(e, in); if (g[16] > 0) { float a = atan2f(p.y, p.x); a = a - floorf(a / (PI / 3) + .5f) * (PI / 3); e = mx(e, -mx(fabsf(r * sinf(a)) - g[16] / 2, (h - g[17]) - z)); } return e; }
    float rd = g[16], zc = g[17]; float dome = z < zc ? mx(r - rd, -z) : sqrtf(r * r + (z - zc) * (z - zc)) - rd;
    e = mn(e, mx(dome, -z + .1f)); return mx(e, mn(in, g[21] - z));
  }
  if (kind == PLAIN_WASHER || kind == TAB_WASHER) {
    float od = g[0], id = g[1], t = g[2], zz = z - t / 2 - g[4] * (r - (od + id) / 4);
    float e = box2(r - (od + id) / 4, zz, (od - id) / 4, t / 2, mn(g[3], t * .45f)) * .95f;
    if (kind == TAB_WASHER) for (int i = 0; i < 2; i++) {
      float len = g[6 + 4 * i], w = g[7 + 4 * i], at = g[8 + 4 * i], bend = g[9 + 4 * i]; if (len <= 0) continue;
      float c = cosf(at), s = sinf(at), x = c * p.x + s * p.y, y = -s * p.x + c * p.y, reach = od / 2 + (bend > 0 ? .6f : len);
      float q = mx(mx(fabsf(y) - w / 2, mx(id / 2 + .3f - x, x - reach)), mx(-z, z - t)); e = mn(e, q);
      if (bend > 0) { float q2 = mx(mx(fabsf(y) - w / 2, mx(reach - t - x, x - reach)), mx(-z, z - len)); e = mn(e, q2); }
    }
    return e;
  }
  if (kind == SPRING_WASHER) {
    float id = g[0], w = g[1], t = g[2], lift = g[3], gap = g[4], skew = g[5], rm = id / 2 + w / 2; float a = atan2f(p.y, p.x); if (a < 0) a += 2 * PI;
    float zc = t / 2 + lift * a / (2 * PI); float e = box2(r - rm, z - zc, w / 2, t / 2, g[6]);
    float arc = (a > PI ? a - 2 * PI : a) * rm + skew * (z - t / 2); return mx(e, gap / 2 - fabsf(arc)) * .8f;
  }
  if (kind == SPACER) { float od = g[0], id = g[1], L = g[2]; float e = box2(r - (od + id) / 4, z - L / 2, (od - id) / 4, L / 2, mn(g[3], (od - id) * .12f)); if (g[4] > 0) e = mx(e, -box2(r - od / 2, z - L / 2, g[4], g[5], .1f)); return e; }
  int sub = (int)g[23];
  if (sub == 0) { float e = mx(r - g[0] / 2, fabsf(z - g[1] / 2) - g[1] / 2); e = mx(e, (r - g[0] / 2 + g[2] - z) * .7071f); e = mx(e, (r - g[0] / 2 + g[2] - (g[1] - z)) * .7071f); if (g[3] > 0) e = mx(e, -(sqrtf(p.x * p.x + (z - g[4]) * (z - g[4])) - g[3] / 2)); return e; }
  if (sub == 1) { float e = mx(mx(box2(p.x, p.y, g[0] / 2, g[1] / 2, g[3]), z - g[2]), -z); for (int i = 0; i < 3; i++) if (g[6 + 3 * i] > 0) { float x = p.x - g[4 + 3 * i], y = p.y - g[5 + 3 * i]; e = mx(e, g[6 + 3 * i] / 2 - sqrtf(x * x + y * y)); } return e; }
  if (sub == 2) return mx(mx(r - g[0] / 2, p.y - g[1]), mx(-z, z - g[2]));
  if (sub == 3) { float rm = g[0] / 2, w = g[1]; float a = atan2f(p.y, p.x); float e = box2(r - rm, z - g[2] / 2, w / 2, g[2] / 2, .05f); e = mx(e, rm * (g[3] - fabsf(a)));
    for (int i = -1; i <= 1; i += 2) { float x = p.x - (rm + g[4] * .3f) * cosf(g[3]), y = p.y - (rm + g[4] * .3f) * sinf(g[3]) * i; float q = sqrtf(x * x + y * y); e = mn(e, mx(mx(q - g[4] * .9f, g[4] * .4f - q), mx(-z, z - g[2]))); } return e; }
  if (sub == 4) { float rm = g[0] / 2, P = g[2], a = atan2f(p.y, p.x) / (2 * PI); float n = floorf(z / P - a + .5f); n = cl(n, 0, g[3] - 1); float zc = (n + a) * P; float q = sqrtf((r - rm) * (r - rm) + (z - zc) * (z - zc)) - g[1] / 2; return q * .7f; }
  { float e = mx(hex2(p.x, p.y, g[0]), mx(-z, z - g[1])); e = mn(e, mx(r - g[2] / 2, mx(-z, z - g[3]))); e = mn(e, mx(r - g[4] / 2, mx(z, -z - g[5]))); return mx(e, g[6] / 2 - r); }
}
HD float sd(V p, const float *it) {
  float e = sd_base(p, (int)it[KIND], it + G);
  if (it[BUMP] > 0 && e < .15f) e += it[BUMP] * fbm(p * it[BSCALE], (uint32_t)it[SEED] + 9u, 2);
  return e;
}

struct Scene {
  const float *items; int n; const uint8_t *mat; int mw, mh; float mat_w, mat_h;
  const float *env; int n_clutter, n_lights; // sky 8, then clutter (az, el, saz, sel, gain r g b) x n, then lights (kind, az, el, a, b, r g b) x n
  float cam[3], right[3], down[3], fwd[3]; float f, cx, cy, k1, k2; int W, H;
  float mat_rough, mat_spec; float table[3]; float phone_w, phone_h; int spp; uint32_t seed;
};
HD V arr(const float *a) { return v3(a[0], a[1], a[2]); }
HD V to_local(V p, const float *it) { V q = p - arr(it + TRA); return v3(it[1] * q.x + it[4] * q.y + it[7] * q.z, it[2] * q.x + it[5] * q.y + it[8] * q.z, it[3] * q.x + it[6] * q.y + it[9] * q.z); }
HD V dir_local(V q, const float *it) { return v3(it[1] * q.x + it[4] * q.y + it[7] * q.z, it[2] * q.x + it[5] * q.y + it[8] * q.z, it[3] * q.x + it[6] * q.y + it[9] * q.z); }
HD V dir_world(V q, const float *it) { return v3(it[1] * q.x + it[2] * q.y + it[3] * q.z, it[4] * q.x + it[5] * q.y + it[6] * q.z, it[7] * q.x + it[8] * q.y + it[9] * q.z); }

HD bool in_box(V o, V d, const float *it, float &t0, float &t1) {
  t0 = 0; t1 = 1e9f; const float *m = it + MID, *h = it + HALF; float oo[3] = {o.x, o.y, o.z}, dd[3] = {d.x, d.y, d.z};
  for (int i = 0; i < 3; i++) { float inv = 1.f / (fabsf(dd[i]) < 1e-9f ? 1e-9f : dd[i]); float a = (m[i] - h[i] - oo[i]) * inv, b = (m[i] + h[i] - oo[i]) * inv; t0 = mx(t0, mn(a, b)); t1 = mn(t1, mx(a, b)); }
  return t0 < t1;
}
struct Hit { float t; int id; V p, n, lp; };  // id: -1 sky, 0.. item, 1000 mat, 1001 table, 1002 phone
HD float march(V o, V d, const float *it, float t0, float t1, int steps) {
  float t = t0; for (int i = 0; i < steps; i++) { float e = sd(o + d * t, it); if (e < .004f) return t; t += mx(e * .95f, .003f); if (t > t1) return -1; } return -1;
}
HD Hit trace(const Scene &S, V o, V d, int skip_phone) {
  Hit h; h.t = 1e9f; h.id = -1;
  if (d.z < -1e-6f) { float t = -o.z / d.z; if (t > 1e-3f) { V p = o + d * t; bool on = p.x >= 0 && p.y >= 0 && p.x <= S.mat_w && p.y <= S.mat_h; h.t = t; h.id = on ? 1000 : 1001; h.p = p; h.n = v3(0, 0, 1); } }
  for (int i = 0; i < S.n; i++) {
    const float *it = S.items + i * STRIDE; V lo = to_local(o, it), ld = dir_local(d, it); float t0, t1; if (!in_box(lo, ld, it, t0, t1) || t0 > h.t) continue;
    float t = march(lo, ld, it, t0 + 1e-3f, mn(t1, h.t), 110); if (t >= 0 && t < h.t) { h.t = t; h.id = i; h.lp = lo + ld * t; }
  }
  if (h.id >= 0 && h.id < 1000) {
    const float *it = S.items + h.id * STRIDE; V p = h.lp; float e = .006f; V k1 = v3(1, -1, -1), k2 = v3(-1, -1, 1), k3 = v3(-1, 1, -1), k4 = v3(1, 1, 1);
    V n = k1 * sd(p + k1 * e, it) + k2 * sd(p + k2 * e, it) + k3 * sd(p + k3 * e, it) + k4 * sd(p + k4 * e, it); h.n = unit(dir_world(unit(n), it)); h.p = o + d * h.t;
  }
  if (!skip_phone) { V c = arr(S.cam) - arr(S.fwd) * 9.f + arr(S.down) * 25.f, n = arr(S.fwd); float dn = dot(d, n); if (fabsf(dn) > 1e-5f) { float t = dot(c - o, n) / dn; if (t > 0 && t < h.t) { V q = o + d * t - c; if (fabsf(dot(q, arr(S.right))) < S.phone_w / 2 && fabsf(dot(q, arr(S.down))) < S.phone_h / 2) { h.t = t; h.id = 1002; h.n = n; h.p = o + d * t; } } } }
  return h;
}
HD bool occluded(const Scene &S, V o, V d) {
  for (int i = 0; i < S.n; i++) { const float *it = S.items + i * STRIDE; V lo = to_local(o, it), ld = dir_local(d, it); float t0, t1; if (!in_box(lo, ld, it, t0, t1)) continue; if (march(lo, ld, it, mx(t0, .02f), t1, 56) >= 0) return true; }
  V c = arr(S.cam) - arr(S.fwd) * 9.f + arr(S.down) * 25.f, n = arr(S.fwd); float dn = dot(d, n); if (fabsf(dn) > 1e-5f) { float t = dot(c - o, n) / dn; if (t > 0) { V q = o + d * t - c; if (fabsf(dot(q, arr(S.right))) < S.phone_w / 2 && fabsf(dot(q, arr(S.down))) < S.phone_h / 2) return true; } }
  return false;
}
HD float wrap(float a) { return a - floorf(a / (2 * PI) + .5f) * 2 * PI; }
HD V sky(const Scene &S, V d) {
  float el = asinf(cl(d.z, -1, 1)), az = atan2f(d.y, d.x); const float *e = S.env; float up = cl(d.z, 0, 1); V c = arr(e) * (e[3] + e[4] * up) ;
  const float *q = e + 8; for (int i = 0; i < S.n_clutter; i++, q += 7) if (fabsf(wrap(az - q[0])) < q[2] && fabsf(el - q[1]) < q[3]) c = c * v3(q[4], q[5], q[6]);
  return c;
}
HD bool in_light(const float *l, V d) {
  if (l[0] < .5f) { V c = v3(cosf(l[2]) * cosf(l[1]), cosf(l[2]) * sinf(l[1]), sinf(l[2])); return dot(c, d) > cosf(l[3]); }
  float el = asinf(cl(d.z, -1, 1)), az = atan2f(d.y, d.x), u = wrap(az - l[1]); if (fabsf(u) > l[3] || fabsf(el - l[2]) > l[4]) return false;
  return fabsf(fabsf(u) - l[3] * .33f) > .012f;
}
HD float light_area(const float *l) { return l[0] < .5f ? 2 * PI * (1 - cosf(l[3])) : 2 * l[3] * (sinf(l[2] + l[4]) - sinf(l[2] - l[4])); }
HD V sample_light(const float *l, Rng &r) {
  if (l[0] < .5f) { V c = v3(cosf(l[2]) * cosf(l[1]), cosf(l[2]) * sinf(l[1]), sinf(l[2])); float ct = 1 - rnd(r) * (1 - cosf(l[3])), st = sqrtf(mx(0, 1 - ct * ct)), a = 2 * PI * rnd(r); V t = unit(cross(fabsf(c.z) < .9f ? v3(0, 0, 1) : v3(1, 0, 0), c)), b = cross(c, t); return c * ct + t * (st * cosf(a)) + b * (st * sinf(a)); }
  float az = l[1] + (2 * rnd(r) - 1) * l[3], z = mixf(sinf(l[2] - l[4]), sinf(l[2] + l[4]), rnd(r)), q = sqrtf(mx(0, 1 - z * z)); return v3(q * cosf(az), q * sinf(az), z);
}
struct Surf { V diff, f0; float rough; };
HD Surf surface(const Scene &S, const Hit &h) {
  Surf s; s.rough = .6f; s.f0 = v3(.04f, .04f, .04f);
  if (h.id == 1000) {
    float x = h.p.x / S.mat_w * S.mw - .5f, y = (1 - h.p.y / S.mat_h) * S.mh - .5f; int x0 = (int)cl(floorf(x), 0, S.mw - 2), y0 = (int)cl(floorf(y), 0, S.mh - 2); float u = cl(x - x0, 0, 1), v = cl(y - y0, 0, 1); float c[3];
    for (int k = 0; k < 3; k++) { const uint8_t *m = S.mat; float a = m[(y0 * S.mw + x0) * 3 + k], b = m[(y0 * S.mw + x0 + 1) * 3 + k], e = m[((y0 + 1) * S.mw + x0) * 3 + k], g = m[((y0 + 1) * S.mw + x0 + 1) * 3 + k]; float q = mixf(mixf(a, b, u), mixf(e, g, u), v) / 255.f; c[k] = q < .04045f ? q / 12.92f : powf((q + .055f) / 1.055f, 2.4f); }
    s.diff = v3(c[0], c[1], c[2]) * (1 + .05f * fbm(h.p * .9f, S.seed, 3)); s.rough = S.mat_rough; s.f0 = v3(1, 1, 1) * S.mat_spec; return s;
  }
  if (h.id == 1001) { s.diff = arr(S.table) * (1 + .3f * fbm(v3(h.p.x * .02f, h.p.y * .3f, 0), S.seed + 5, 3)); return s; }
  if (h.id == 1002) { s.diff = v3(.03f, .03f, .03f); return s; }
  const float *it = S.items + h.id * STRIDE; uint32_t seed = (uint32_t)it[SEED]; V p = h.lp * it[VSCALE]; float a = fbm(p, seed, 3), b = fbm(p * 1.7f + v3(9, 3, 1), seed + 31, 3);
  V c = mixv(arr(it + COL), arr(it + COL2), cl(.5f + a * 1.3f * it[VAMT], 0, 1)); c = c * (1 + .12f * it[VAMT] * b); float m = it[METAL], ro = it[ROUGH] * (1 + .25f * b);
  if (it[TURN] > 0) { float q = noise3(v3(h.lp.z * 9.f, sqrtf(h.lp.x * h.lp.x + h.lp.y * h.lp.y) * 9.f, .5f), seed + 4); c = c * (1 + it[TURN] * q); ro *= 1 + it[TURN] * q; }
  if (it[RUST] > -1) { float t = 1 / (1 + expf(-7 * (fbm(p * .8f, seed + 51, 4) * 1.8f + it[RUST]))); V rc = mixv(v3(.12f, .05f, .025f), v3(.36f, .16f, .065f), cl(.5f + fbm(p * 2.5f, seed + 52, 3), 0, 1)); c = mixv(c, rc, t); m *= 1 - t; ro = mixf(ro, .92f, t); }
  if (it[DIRT] > -1) { float t = cl(.5f + 2.2f * fbm(h.lp * .35f, seed + 61, 4) + it[DIRT], 0, 1) * .9f; c = mixv(c, v3(.035f, .028f, .02f), t); m *= 1 - .7f * t; ro = mixf(ro, .38f, t * .8f); }
  c = v3(cl(c.x, .005f, .98f), cl(c.y, .005f, .98f), cl(c.z, .005f, .98f)); s.diff = c * (1 - m); s.f0 = mixv(v3(.045f, .045f, .045f), c, m); s.rough = cl(ro, .08f, 1); return s;
}
HD float ggx_d(float nh, float a) { float q = nh * nh * (a * a - 1) + 1; return a * a / (PI * q * q + 1e-9f); }
HD float smith(float nv, float nl, float a) { float k = a / 2; return 1.f / ((nv * (1 - k) + k) * (nl * (1 - k) + k) * 4 + 1e-6f); }
HD V schlick(V f0, float c) { float k = 1 - c; k = k * k * k * k * k; return f0 + (v3(1, 1, 1) - f0) * k; }
HD float spec_chance(const Surf &s) { float f = (s.f0.x + s.f0.y + s.f0.z) / 3, d = (s.diff.x + s.diff.y + s.diff.z) / 3; return cl(f / (f + d + 1e-4f), .12f, .95f); }
HD V brdf(const Surf &s, V n, V v, V l, float &pdf) {
  float nl = dot(n, l), nv = mx(dot(n, v), 1e-3f); pdf = 0; if (nl <= 0) return v3(0, 0, 0); V h = unit(v + l); float a = s.rough * s.rough, nh = mx(dot(n, h), 0), vh = mx(dot(v, h), 1e-3f), D = ggx_d(nh, a); float ps = spec_chance(s);
  pdf = ps * D * nh / (4 * vh) + (1 - ps) * nl / PI; V F = schlick(s.f0, vh); return F * (D * smith(nv, nl, a)) + s.diff * ((1 - (F.x + F.y + F.z) / 3) / PI);
}
HD V radiance(const Scene &S, V o, V d, Rng &r, int &first, float &depth) {
  V acc = v3(0, 0, 0), w = v3(1, 1, 1); float last_pdf = -1; const float *L0 = S.env + 8 + 7 * S.n_clutter;
  for (int b = 0; b < 4; b++) {
    Hit h = trace(S, o, d, b == 0); if (b == 0) { first = h.id; depth = h.t; }
    if (h.id == -1) {
      acc = acc + w * sky(S, d);
      for (int i = 0; i < S.n_lights; i++) { const float *l = L0 + 8 * i; if (in_light(l, d)) { float k = 1; if (last_pdf > 0) { float pl = 1.f / (light_area(l) * S.n_lights); k = last_pdf / (last_pdf + pl); } acc = acc + w * v3(l[5], l[6], l[7]) * k; } }
      break;
    }
    Surf s = surface(S, h); V v = d * -1.f, n = h.n; if (dot(n, v) < 0) n = unit(n - v * (1.02f * dot(n, v)));
    V p = h.p + n * .02f;
    if (S.n_lights > 0) { int i = (int)mn(rnd(r) * S.n_lights, S.n_lights - 1); const float *l = L0 + 8 * i; V ld = sample_light(l, r); float pb; if (ld.z > -.2f && in_light(l, ld)) { V fr = brdf(s, n, v, ld, pb); float nl = dot(n, ld); if (nl > 0 && !occluded(S, p, ld)) { float pl = 1.f / (light_area(l) * S.n_lights); acc = acc + w * fr * v3(l[5], l[6], l[7]) * (nl / (pl + pb)); } } }
    if (b == 3) break;
    float ps = spec_chance(s); V t = unit(cross(fabsf(n.z) < .9f ? v3(0, 0, 1) : v3(1, 0, 0), n)), bt = cross(n, t), l; float u1 = rnd(r), u2 = rnd(r) * 2 * PI;
    if (rnd(r) < ps) { float a = s.rough * s.rough, ct = sqrtf((1 - u1) / (1 + (a * a - 1) * u1)), st = sqrtf(mx(0, 1 - ct * ct)); V hh = t * (st * cosf(u2)) + bt * (st * sinf(u2)) + n * ct; l = hh * (2 * dot(v, hh)) - v; }
    else { float q = sqrtf(u1); l = t * (q * cosf(u2)) + bt * (q * sinf(u2)) + n * sqrtf(1 - u1); }
    float pdf; V fr = brdf(s, n, v, l, pdf); float nl = dot(n, l); if (nl <= 0 || pdf < 1e-6f) break; w = w * fr * (nl / pdf); float m = mx(w.x, mx(w.y, w.z)); if (m < .02f) break; if (m > 6) w = w * (6 / m);
    if (b > 0 && h.id >= 1000) { if (rnd(r) > .5f) break; w = w * 2.f; }
    o = p; d = l; last_pdf = pdf;
  }
  return acc;
}
HD void pixel(const Scene &S, int x, int y, float *rgb, uint8_t *ids) {
  V acc = v3(0, 0, 0); Rng r; r.s = hash32((uint32_t)(y * S.W + x) * 9781u + S.seed); int id = -1;
  for (int k = 0; k < S.spp; k++) {
    float px = x + (k ? rnd(r) + rnd(r) - 1.f : 0.f) * .75f, py = y + (k ? rnd(r) + rnd(r) - 1.f : 0.f) * .75f; float xd = (px - S.cx) / S.f, yd = (py - S.cy) / S.f, ux = xd, uy = yd;
    for (int i = 0; i < 5; i++) { float r2 = ux * ux + uy * uy, q = 1 + S.k1 * r2 + S.k2 * r2 * r2; ux = xd / q; uy = yd / q; }
    V d = unit(arr(S.right) * ux + arr(S.down) * uy + arr(S.fwd)); int f; float depth; V c = radiance(S, arr(S.cam), d, r, f, depth); if (k == 0) id = f;
    c = v3(mn(c.x, 12), mn(c.y, 12), mn(c.z, 12)); acc = acc + c;
  }
  float s = 1.f / S.spp; rgb[0] = acc.x * s; rgb[1] = acc.y * s; rgb[2] = acc.z * s; *ids = (id >= 0 && id < 255) ? id + 1 : 0;
}
#ifdef __CUDACC__
__global__ void kernel(Scene S, float *rgb, uint8_t *ids) { int x = blockIdx.x * blockDim.x + threadIdx.x, y = blockIdx.y * blockDim.y + threadIdx.y; if (x < S.W && y < S.H) pixel(S, x, y, rgb + 3 * (y * (size_t)S.W + x), ids + y * (size_t)S.W + x); }
extern "C" int render(const Scene *S, float *rgb, uint8_t *ids) { dim3 b(8, 8), g((S->W + 7) / 8, (S->H + 7) / 8); kernel<<<g, b>>>(*S, rgb, ids); return (int)cudaGetLastError(); }
#else
extern "C" int render(const Scene *S, float *rgb, uint8_t *ids) {
#pragma omp parallel for schedule(dynamic, 4)
  for (int y = 0; y < S->H; y++) for (int x = 0; x < S->W; x++) pixel(*S, x, y, rgb + 3 * (y * (size_t)S->W + x), ids + y * (size_t)S->W + x);
  return 0;
}
#endif
