//! The linear single-track model: the lateral acceleration that follows from steering, at constant speed.
//!
//! **Equations** (Riekert and Schunck 1940; Mitschke and Wallentowitz, Dynamik der Kraftfahrzeuge, chapter on the linear
//! single-track model). With lateral speed v and yaw rate r at the centre of gravity, a and b its distances from front
//! and rear axle, L = a + b, forward speed u, steering angle d of the front wheels, mass m and yaw inertia m k^2:
//!
//! slip angles  front  d - (v + a r)/u,  rear  -(v - b r)/u
//! side forces  front  m g b/(L Df) times its slip angle,  rear  m g a/(L Dr) times its slip angle
//! m (v' + u r) = sum of both,  m k^2 r' = a front - b rear
//!
//! Df and Dr are the cornering compliances of the axles: slip angle for each unit of lateral acceleration over g (Bundorf
//! 1976); they hold the tyres' cornering stiffness and what steering and suspension add. The mass drops out.
//!
//! **Limits.** Linear tyres, which hold to about 4 m/s^2 on a dry road (common practice, no source) and never run out of
//! grip; no roll steer, no load transfer, no relaxation length, constant speed, small angles.

/// A car as the linear single-track model sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SingleTrack {
    /// Centre of gravity behind the front axle, m, positive.
    pub to_front_m: f64,
    /// Centre of gravity ahead of the rear axle, m, positive.
    pub to_rear_m: f64,
    /// Cornering compliance of front and rear axle: rad of slip for a lateral acceleration of one g, positive.
    pub compliance_rad_per_g: [f64; 2],
    /// Square of the yaw radius of inertia: yaw inertia over mass, m^2, positive.
    pub yaw_radius_squared_m2: f64,
}

/// Standard gravity, m/s^2.
const GRAVITY: f64 = 9.806_65;

/// The model at one speed: states lateral speed and yaw rate; the input is the lateral acceleration that the steering
/// angle of that moment would give in the end, the output the lateral acceleration now.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Steered {
    a: [[f64; 2]; 2],
    b: [f64; 2],
    c: [f64; 2],
    d: f64,
}

impl SingleTrack {
    /// Speed at which a car whose rear axle is the more compliant one spins without being steered, m/s; infinite for all
    /// others. u^2 = g L/(Dr - Df).
    pub fn critical_speed_m_per_s(&self) -> f64 {
        let [front, rear] = self.compliance_rad_per_g;
        if rear > front {
            (GRAVITY * (self.to_front_m + self.to_rear_m) / (rear - front)).sqrt()
        } else {
            f64::INFINITY
        }
    }

    /// Steering angle of the front wheels that holds a unit of lateral acceleration, rad/(m/s^2): L/u^2 + (Df - Dr)/g.
    pub fn steering_rad_per_m_per_s2(&self, speed_m_per_s: f64) -> f64 {
        let [front, rear] = self.compliance_rad_per_g;
        (self.to_front_m + self.to_rear_m) / (speed_m_per_s * speed_m_per_s) + (front - rear) / GRAVITY
    }

    /// The model at a speed above zero and below the critical one.
    pub(crate) fn at_speed(&self, u: f64) -> Steered {
        let (a, b, k2) = (self.to_front_m, self.to_rear_m, self.yaw_radius_squared_m2);
        let [df, dr] = self.compliance_rad_per_g;
        let g_l = GRAVITY / (a + b);
        // Lateral and yaw acceleration for each radian of slip, front and rear.
        let (yf, yr) = (g_l * b / df, g_l * a / dr);
        let (nf, nr) = (yf * a / k2, -yr * b / k2);
        let steering = self.steering_rad_per_m_per_s2(u);
        let lateral = [-(yf + yr) / u, -(a * yf - b * yr) / u];
        Steered {
            a: [[lateral[0], lateral[1] - u], [-(nf + nr) / u, -(a * nf - b * nr) / u]],
            b: [yf * steering, nf * steering],
            c: lateral,
            d: yf * steering,
        }
    }
}

impl Steered {
    /// How long the acceleration is behind the steering in the mean, s: minus the slope of the transfer function at zero,
    /// C A^-2 B. A driver who steers that much earlier ends up in the place and the direction he meant.
    pub(crate) fn delay_s(&self) -> f64 {
        let once = self.solve(self.b);
        let twice = self.solve(once);
        self.c[0] * twice[0] + self.c[1] * twice[1]
    }

    fn solve(&self, right: [f64; 2]) -> [f64; 2] {
        let [[p, q], [r, s]] = self.a;
        let determinant = p * s - q * r;
        [(s * right[0] - q * right[1]) / determinant, (p * right[1] - r * right[0]) / determinant]
    }

    /// Lateral acceleration at 0, `step_s`, ... for the wanted one over time, without end; at rest before.
    ///
    /// Runge-Kutta of fourth order, with as many parts of a step as the quickest root of the car asks for.
    pub(crate) fn respond<W: Fn(f64) -> f64>(self, wanted: W, step_s: f64) -> Responding<W> {
        let quickest = self.a.iter().map(|row| row[0].abs() + row[1].abs()).fold(0.0, f64::max);
        let parts = (step_s * quickest / 0.25).ceil().max(1.0);
        Responding { steered: self, wanted, step_s, parts, x: [0.0; 2], step: 0 }
    }
}

/// The car following its steering, sample by sample.
pub(crate) struct Responding<W> {
    steered: Steered,
    wanted: W,
    step_s: f64,
    parts: f64,
    x: [f64; 2],
    step: usize,
}

impl<W: Fn(f64) -> f64> Iterator for Responding<W> {
    type Item = f64;

    fn next(&mut self) -> Option<f64> {
        let (car, wanted, h) = (self.steered, &self.wanted, self.step_s / self.parts);
        let rate = |x: [f64; 2], u: f64| {
            let [[p, q], [r, s]] = car.a;
            [p * x[0] + q * x[1] + car.b[0] * u, r * x[0] + s * x[1] + car.b[1] * u]
        };
        let on = |x: [f64; 2], k: [f64; 2], h: f64| [x[0] + h * k[0], x[1] + h * k[1]];
        let mut x = self.x;
        let start_s = self.step as f64 * self.step_s;
        let now = car.c[0] * x[0] + car.c[1] * x[1] + car.d * wanted(start_s);
        for part in 0..self.parts as usize {
            let t = start_s + part as f64 * h;
            let (u0, u1, u2) = (wanted(t), wanted(t + 0.5 * h), wanted(t + h));
            let k1 = rate(x, u0);
            let k2 = rate(on(x, k1, 0.5 * h), u1);
            let k3 = rate(on(x, k2, 0.5 * h), u1);
            let k4 = rate(on(x, k3, h), u2);
            for i in 0..2 {
                x[i] += h / 6.0 * (k1[i] + 2.0 * (k2[i] + k3[i]) + k4[i]);
            }
        }
        (self.x, self.step) = (x, self.step + 1);
        Some(now)
    }
}
